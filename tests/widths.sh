#!/bin/sh
# No command prints a line that is longer than the terminal is wide, but for words that can't be broken:
# widths.sh ULLAGE SOURCE. COLUMNS stands for the terminal; without it a pipe gets its lines as they are.
set -eu
export LC_ALL=C.UTF-8
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
ullage=$1
ULLAGE_SHARE=$2/share
export ULLAGE_SHARE
bad=0

# The commands that print text, on the log $1.
commands() {
    for words in status log 'log --voided' due 'due --within 400' outlook \
        'outlook --crew 3' season verify units 'reckon chlorine --volume 10' 'reckon freeze' \
        'reckon uv' 'fill A1 1 --class potable --dry-run' 'draw galley 1 --dry-run' \
        'sanitise R1 --dry-run' 'void last --dry-run' 'couple galley A4 A3 A2 A1 --dry-run' \
        'test A1 --chlorine 0.1 --ecoli present --dry-run' --help; do
        echo "--log $1 $words"
    done
}

# Lines of more columns than $1 that could have been broken; "ullage ..." before what a command printed.
longer() {
    python3 -c '
import sys
room, said = int(sys.argv[1]), ""
def wide(c): return 0x1100 <= ord(c) and not 0x2000 <= ord(c) <= 0x2e7f
for line in sys.stdin:
    line = line.rstrip("\n")
    if line.startswith("\x01"):
        said = line[1:]
    elif sum(2 if wide(c) else 1 for c in line) > room and " " in line.strip():
        print(room, said + ":", line)
' "$1"
}

"$ullage" demo --write "$folder/demo.db" >"$folder/said"
# sixteen vessels, eight stages, stops and sources with long names of several words
large=$folder/large.db
line='the long line of the galley'
i=0
set --
while [ $i -lt 14 ]; do
    i=$((i + 1))
    "$ullage" --log "$large" vessel "canister number $i of the port locker" --capacity 25 --level 20 --class potable --at -30d
    set -- "$@" "canister number $i of the port locker"
done >"$folder/said"
{
    "$ullage" --log "$large" couple "$line" "$@" --at -29d
    "$ullage" --log "$large" vessel A1 --capacity 12 --duty reserve --class questionable --level 3 --at -29d
    for i in 1 2 3 4 5 6 7 8; do
        "$ullage" --log "$large" stage "sediment cartridge number $i" --type sediment --line "$line" --life-litres 900 \
            --life-days $((i * 20)) --at -28d
        "$ullage" --log "$large" spares "sediment cartridge number $i" 0 --at -28d
        "$ullage" --log "$large" stop "the tap behind the mill number $i" --eta "+${i}d"
    done
    "$ullage" --log "$large" crew 3 --at -28d
    "$ullage" --log "$large" draw "$line" 20 --for cook --at -3d
    "$ullage" --log "$large" sound 'canister number 1 of the port locker' 24 --at -2d \
        --note 'by stick and by eye, in the dark, with cold hands, so give or take half a litre at the very least'
    "$ullage" --log "$large" fill A1 1 --from 'the tap behind the mill' --at -1d
} >"$folder/said"
{
    commands "$folder/demo.db"
    commands "$large"
    "$ullage" --help | sed -n 's/^  \([a-z][a-z]*\) .*/\1 --help/p'
} >"$folder/commands"
[ "$(wc -l <"$folder/commands")" -gt 50 ]
for room in 80 60; do
    while IFS= read -r words; do
        printf '\001%s\n' "$words"
        # shellcheck disable=SC2086 # words
        COLUMNS=$room "$ullage" $words </dev/null 2>/dev/null || [ $? = 1 ] || echo "THIS DOES NOT RUN, so that the line is longer than any terminal: $words"
    done <"$folder/commands" | longer "$room" >"$folder/long"
    cat "$folder/long"
    [ ! -s "$folder/long" ] || bad=1
done
# a pipe: one entry a line, whatever its length
"$ullage" --log "$large" log | grep -q 'by stick and by eye.*least'
exit $bad
