#!/bin/sh
# The floors of the house: who may include whom, and who may see SQLite and curses; no circles of includes
# (those of calls: circles.sh).
# usage: floors.sh SRC_DIR     prints each breach; exit 1 where there is one.
set -u
cd "$1" || exit 1
includes=$(mktemp "${TMPDIR:-/tmp}/ullage-floors-XXXXXX")
trap 'rm -f "$includes"' EXIT INT TERM
bad=0

# Breaches to standard error; to standard output "header header" for each include between headers, and "unit unit"
# for those that must not run in a circle either.
awk '
BEGIN {
    may["base"] = "base"
    may["reckon"] = "base reckon"
    may["model"] = "base reckon model"
    may["store"] = "base model store"
    may["outlook"] = "base model reckon outlook"
    may["topics"] = "base model reckon outlook topics"
    may["paint"] = "base model reckon outlook paint"
    may["tui"] = "base model reckon store outlook paint tui"
    may["screens"] = "base model reckon outlook topics paint tui screens"
    may["cli"] = "base model reckon store outlook topics paint cli"
}
function breach(what) {
    print file " " what | "cat >&2"
    bad = 1
}
FNR == 1 {
    file = substr(FILENAME, 3)
    floor = unit = file
    sub(/\/.*/, "", floor)
    sub(/\.[ch]$/, "", unit)
    if (!(floor in may))
        breach("stands on a floor that has no row here")
    # the clock is asked at the edges only; everything else is told the time
    edge = floor == "cli" || file == "tui/loop.c" || file == "tui/term.c"
}
/^#include "[a-z]+\// {
    other = $2
    gsub(/"/, "", other)
    if (file ~ /\.h$/)
        print file, other
    sub(/\.h$/, "", other)
    below = other
    sub(/\/.*/, "", below)
    if (index(" " may[floor] " ", " " below " ") == 0)
        breach("includes the floor " below)
    # A file and its header are one: no two of them include each other, however far round. (In these
    # three a .c may include the header of what its own header is part of.)
    if (other != unit && floor !~ /^(store|outlook|topics)$/)
        print unit, other
}
/^#include "[^\/]*"/ { breach("includes a header without its floor") }
/#include <sqlite3/ && floor != "store" { breach("includes sqlite3.h outside the store") }
/#include <(n?curses|term\.h)/ && file != "tui/term.c" { breach("includes curses outside tui/term.c") }
/(^|[^a-z_])(clock_gettime|gettimeofday|time)\((NULL|CLOCK|&)/ && !edge { breach("asks the clock") }
END { exit bad }
' ./*/*.[ch] >"$includes" || bad=1
tsort "$includes" >/dev/null || bad=1
[ $bad -eq 0 ] && echo "floors: every include points down"
exit $bad
