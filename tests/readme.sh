#!/bin/sh
# The commands of README.md run as they are printed, one after the other on one log, and what is filled there is water to
# drink: readme.sh ULLAGE SOURCE
set -eu
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
mkdir "$folder/bin" "$folder/shared"
ln -s "$(realpath "$1")" "$folder/bin/ullage"
PATH=$folder/bin:$PATH
ULLAGE_LOG=$folder/water.db
export PATH ULLAGE_LOG
printf '100\n563\n1026\n' >"$folder/sensor" # what a flow sensor prints
sed -n 's/^    \(ullage \)/\1/p' "$2/README.md" |
    sed "s:/tmp/ullage-shared:$folder/shared: ; s:/dev/ttyUSB0:$folder/sensor:" >"$folder/commands"
cd "$folder"
[ "$(wc -l <commands)" -gt 20 ]
[ "$(grep -c '^    ' "$2/README.md")" -eq $(($(wc -l <commands) + 2)) ] # and the two that build
while IFS= read -r line; do
    sh -c "$line" </dev/null >said 2>&1 || {
        echo "does not run: $line"
        cat said
        exit 1
    }
    case $line in
    'ullage status'*) expected='^Tap  *galley, drink' ;;
    *463.3\ a\ litre*) expected='463\.3' ;;
    *) continue ;;
    esac
    grep -q "$expected" said || {
        echo "does not say $expected: $line"
        cat said
        exit 1
    }
done <commands
