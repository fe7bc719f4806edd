#!/bin/sh
# The board in every size that the window takes, and back: what is there is what is sent anew, and the last
# picture is the first.
. "$(dirname "$0")/tmux.sh"
log_begin
begin 80 24
type_in "LINES=10 COLUMNS=50 $ullage" Enter
shows 'f fill'
for round in 1 2 3; do
    picture >"$scene/first"
    minute=$(date +%M)
    for size in 132x50 40x12 20x5 80x24; do
        t resize-window -x "${size%x*}" -y "${size#*x}"
        case $size in
        20x5) shows 'More at' ;;
        *) hints_in_the_last_row ;;
        esac
        same_when_sent_anew
    done
    ! cmp -s "$scene/first" "$scene/before" || break
    if [ "$round" = 3 ] || [ "$minute" = "$(date +%M)" ]; then
        fail "back in the first size the board is another"
    fi
done
type_in q
no_more 'f fill'
