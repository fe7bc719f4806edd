#!/bin/sh
# The examples of every --help run as printed on the demo's log, those of the manual and of the formats on logs of
# their own; and every command that a page names is one, with the options that it is named with:
# examples.sh ULLAGE SOURCE
set -eu
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
mkdir "$folder/bin"
ln -s "$(realpath "$1")" "$folder/bin/ullage"
PATH=$folder/bin:$PATH
ULLAGE_SHARE=$2/share
ULLAGE_LOG=$folder/water.db
export PATH ULLAGE_SHARE ULLAGE_LOG
cd "$folder"
bad=0

run() { # WORDS: a line as it is printed; what ends with 4 has something due
    sh -c "$1" </dev/null >said 2>&1 || [ $? = 4 ] || {
        echo "does not run: $1"
        cat said
        bad=1
    }
}

ullage demo --write demo.db >said
ullage --help | sed -n 's/^  \([a-z][a-z]*\) .*/\1/p' >names
count=0
while IFS= read -r name; do
    ullage "$name" --help | sed -e ':again' -e '/\\$/{N;s/ *\\\n */ /;bagain' -e '}' |
        sed -n -e 's/^Example: //p' -e 's/^  \(ullage .*\)/\1/p' | grep -v 'FILE' >examples || continue
    cp demo.db water.db
    case $name in
    decant | treat | test) ullage fill B1 8 --class questionable >said ;; # it is empty in the demo
    esac
    case $name in
    decant) ullage sound A3 4 >said ;;                                    # room
    settle) ullage sound A2 full >said ;;                                 # more than there can be
    esac
    while IFS= read -r line; do
        count=$((count + 1))
        run "$line"
    done <examples
done <names
[ "$count" -ge 30 ]
# the manual's, in the order in which they are printed
rm -f water.db*
sed -n '/^\.Sh EXAMPLES/,/^\.Sh SEE/s/^ullage /&/p' "$2/man/ullage.1" >examples
[ "$(wc -l <examples)" -ge 10 ]
while IFS= read -r line; do
    run "$line"
done <examples
# the lines of the formats are taken in, and are the draw that they say
rm -f water.db*
sed -n 's/^\(\.Dl \)\{0,1\}\({"at".*}\)$/\2/p' "$2/man/ullage.5" >lines.jsonl
sed -n '/^at,kind/,/^\.Ed/{/^\.Ed/d;p;}' "$2/man/ullage.5" >lines.csv
[ "$(wc -l <lines.jsonl)" -ge 5 ] && [ "$(wc -l <lines.csv)" -eq 2 ]
run 'ullage import lines.csv'
ullage export | sed 's/"id":"[^"]*",//' >said
grep -qxFf said lines.jsonl || {
    echo "the draw as CSV is not the draw of the lines: $(cat said)"
    bad=1
}
rm -f water.db*
run 'ullage import lines.jsonl'
[ "$(ullage status --json | grep -c '"volume":5.000.*"discrepancies":\[\]')" -eq 1 ] || {
    echo 'the lines do not come to 5 L without a discrepancy:'
    ullage status
    bad=1
}
# Ql and Ic: words of a command, and its options; what is named in capitals is left out
sed -n 's/^\.\(Ql\|Ic\) \(ullage [a-z][-a-z ]*[a-z]\).*/\2/p' "$2"/man/*.[1-8] | sort -u >examples
[ "$(wc -l <examples)" -ge 10 ]
while IFS= read -r line; do
    run "$line --help"
done <examples
exit $bad
