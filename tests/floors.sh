#!/bin/sh
# The floors of the house: who may include whom, and who may see SQLite and curses; no circles.
# usage: floors.sh SRC_DIR     prints each breach; exit 1 where there is one.
set -u
src=$1
bad=0

allowed() { # the floors that floor $1 may include
    case $1 in
    base) echo "base" ;;
    reckon) echo "base reckon" ;;
    model) echo "base reckon model" ;;
    store) echo "base model store" ;;
    outlook) echo "base model reckon outlook" ;;
    topics) echo "base model reckon outlook topics" ;;
    paint) echo "base model reckon outlook paint" ;;
    tui) echo "base model reckon store outlook topics paint tui" ;;
    screens) echo "base model reckon outlook topics paint tui screens" ;;
    cli) echo "base model reckon store outlook topics paint cli" ;;
    esac
}

for floor in base reckon model store outlook topics paint tui screens cli; do
    ok=" $(allowed $floor) "
    for file in "$src/$floor"/*.[ch]; do
        [ -e "$file" ] || continue
        # shellcheck disable=SC2013  # names of folders: words and lines are the same
        for other in $(sed -n 's/^#include "\([a-z]*\)\/.*/\1/p' "$file" | sort -u); do
            case $ok in
            *" $other "*) ;;
            *) echo "$file includes the floor '$other'" && bad=1 ;;
            esac
        done
        if grep -q '^#include "[^/]*"' "$file"; then
            echo "$file includes a header without its floor" && bad=1
        fi
        if [ "$floor" != store ] && grep -q '#include <sqlite3' "$file"; then
            echo "$file includes sqlite3.h outside the store" && bad=1
        fi
        case $file in
        */tui/term.c) ;;
        *) if grep -qE '#include <(n?curses|term\.h)' "$file"; then
            echo "$file includes curses outside tui/term.c" && bad=1
        fi ;;
        esac
        # the clock is asked at the edges only; everything else is told the time
        case $file in
        */cli/*.c | */tui/loop.c | */tui/term.c) ;;
        *) if grep -qE '\b(clock_gettime|gettimeofday|time)\((NULL|CLOCK|&)' "$file"; then
            echo "$file asks the clock" && bad=1
        fi ;;
        esac
    done
done
# A file and its header are one: in the upper floors no two of them include each other, however far
# round. (Below them a .c may include the header of what its own header is part of.)
circles=$(
    for file in "$src"/paint/*.[ch] "$src"/tui/*.[ch] "$src"/screens/*.[ch] "$src"/cli/*.[ch]; do
        unit=${file#"$src"/} unit=${unit%.[ch]}
        sed -n 's/^#include "\([a-z]*\/[a-z_]*\)\.h".*/\1/p' "$file" | grep -vx "$unit" |
            sed "s|^|$unit |"
    done | tsort 2>&1 >/dev/null
)
[ -z "$circles" ] || { echo "$circles" && bad=1; }
[ $bad -eq 0 ] && echo "floors: every include points down"
exit $bad
