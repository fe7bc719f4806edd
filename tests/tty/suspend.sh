#!/bin/sh
# Ctrl-Z gives the shell its screen and its modes back, fg the board, in the size that the window has then.
. "$(dirname "$0")/tmux.sh"
log_begin
begin 80 24
type_in "stty -a >$scene/modes; echo ot''ter" Enter
shows otter
type_in "$ullage" Enter
shows 'f fill'
no_more otter
for size in 60x17 100x30; do
    type_in C-z
    shows 'Stopped'
    shows otter
    type_in "stty -a >$scene/now; cut -d ';' -f 4- $scene/modes >$scene/a; cut -d ';' -f 4- $scene/now >$scene/b" Enter
    type_in "cmp $scene/a $scene/b && echo the modes are the sa''me" Enter
    shows 'the modes are the same'
    t resize-window -x "${size%x*}" -y "${size#*x}"
    type_in "clear; echo ot''ter; fg" Enter
    shows 'f fill'
    no_more 'the modes'
    hints_in_the_last_row
    same_when_sent_anew
done
type_in q
no_more 'f fill'
type_in 'echo left with $?' Enter
shows 'left with 0'
