#!/bin/sh
# unused.sh: names the functions of src that the program does not need, so that only tests could. Builds the
# program without inlining and asks the linker what it dropped. Exits 1 where there is anything.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
cd "$root/src"
# shellcheck disable=SC2046 # file names of ours hold no blanks
${CC:-cc} -std=gnu11 -D_GNU_SOURCE -DULLAGE_VERSION='""' -DDATADIR='""' -I. -O0 -ffunction-sections \
    -Wl,--gc-sections,--print-gc-sections -o "$out/ullage" $(find . -name '*.c') -lncursesw -lsqlite3 -lm 2>"$out/dropped" ||
    { cat "$out/dropped" >&2; exit 2; }
sed -n "s/.*section '\.text\.\([A-Za-z_][A-Za-z_0-9]*\)' in file '.*\/[^/]*'.*/\1/p" "$out/dropped" |
    sort -u | grep -v '^__' >"$out/unused" || exit 0
while read -r name; do
    grep -rlw --include='*.c' -- "$name" . | head -1 | sed "s|^\./|$name is called by tests only: src/|"
done <"$out/unused" | tee "$out/told"
[ ! -s "$out/told" ]
