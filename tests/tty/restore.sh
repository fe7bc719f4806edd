#!/bin/sh
# What ends the program from outside leaves a shell that can be used; a window that is closed ends it.
. "$(dirname "$0")/tmux.sh"
log_begin
begin 80 24
type_in "stty -a >$scene/modes; echo ot''ter" Enter
shows otter
for signal in TERM HUP SEGV ABRT; do
    type_in "sh -c 'echo \$\$ >$scene/pid; exec $ullage'; echo en''ded by $signal" Enter
    shows 'f fill'
    type_in f
    shows 'Esc leave'
    kill -"$signal" "$(cat "$scene/pid")"
    shows "ended by $signal"
    seen otter || fail "the shell's screen is gone"
    type_in "stty -a | cmp - $scene/modes && echo the modes are ba''ck" Enter
    shows 'the modes are back'
    type_in "clear; echo ot''ter" Enter
    no_more 'the modes'
    shows otter
done

gone() { ! kill -0 "$pid"; }
t new-window "echo \$\$ >$scene/pid; HOME=$scene LC_ALL=C.UTF-8 exec $ullage"
shows 'f fill'
pid=$(cat "$scene/pid")
t kill-pane
until_so gone
