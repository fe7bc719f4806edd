#!/bin/sh
# The commands of README.md run as they are printed, and their log ends in water to drink: readme.sh ULLAGE SOURCE
set -eu
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
mkdir "$folder/bin" "$folder/shared"
ln -s "$(realpath "$1")" "$folder/bin/ullage"
PATH=$folder/bin:$PATH
ULLAGE_LOG=$folder/water.db
export PATH ULLAGE_LOG
sed -n '/^## A first log/,/^## Evidence/s/^    //p' "$2/README.md" |
    sed "s:/tmp/ullage-shared:$folder/shared:" >"$folder/commands"
[ "$(wc -l <"$folder/commands")" -gt 12 ]
# those that look and do not log stand among them and end as they do
while IFS= read -r line; do
    case $line in
    *' due --check'*) continue ;; # ends with 4 where something is due
    esac
    sh -c "$line" </dev/null >"$folder/said" 2>&1 || {
        echo "does not run: $line"
        cat "$folder/said"
        exit 1
    }
    case $line in
    'ullage status'*)
        grep -q '^Tap  *galley, drink' "$folder/said" || {
            cat "$folder/said"
            exit 1
        }
        ;;
    esac
done <"$folder/commands"
