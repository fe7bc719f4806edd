#!/bin/sh
# A newcomer: the set-up by Enter alone, a refill in two keys, and the log says so.
. "$(dirname "$0")/tmux.sh"
begin 80 24
type_in "$ullage" Enter
shows 'set-up'
presses=0
while ! seen 'f fill'; do
    [ "$presses" -lt 60 ] || fail "Enter alone does not end the set-up"
    picture >"$scene/before"
    type_in Enter
    presses=$((presses + 1))
    until_so sh -c "! tmux -S '$scene/tmux' capture-pane -p | cmp -s - '$scene/before'"
done
type_in f
shows 'Enter write'
type_in Enter
shows 'Written'
say log | grep -q 'fill A1' || fail "the log has no fill"
say verify >/dev/null || fail "verify dislikes the log"
type_in q
no_more 'f fill'
