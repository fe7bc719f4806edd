#!/bin/sh
# A season of 50,000 entries through a program for another processor: processor time, user and system, under qemu-user.
# An estimate for a small board: what is emulated takes 5 to 15 times as long as on the machine that emulates.
# usage: small.sh PROGRAM...     for example: small.sh qemu-aarch64-static -L ROOT build-arm64/src/ullage
# ROOT holds the libraries of that processor, in its /lib and /usr/lib.
# bench_log, which makes the season, is in $BUILD (else build-bench in the project's root: run.sh makes it).
set -eu
root=$(cd "$(dirname "$0")/../.." && pwd)
build=${BUILD:-$root/build-bench}
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT INT TERM
"$build/tests/bench/bench_log" season 50000 "$scratch/all" "$scratch/csv" "$scratch/last"
head -n 3000 "$scratch/all" >"$scratch/few"

row() {
    what=$1 log=$2
    shift 2
    spent=$("$@" --log "$scratch/$log.db" >/dev/null && times) || exit 3
    # the second line: of what was run, as 0m0.24s 0m0.04s
    echo "$what | - | $(echo "$spent" | awk -F '[ms ]+' 'END { printf "%.2f s", $1 * 60 + $2 + $3 * 60 + $4 }') | -"
}
ULLAGE_SHARE=$root/share
export ULLAGE_SHARE
for log in few all; do
    row "import of $(wc -l <"$scratch/$log") entries" "$log" "$@" import "$scratch/$log"
    row "  status" "$log" "$@" status
    row "  one entry" "$log" "$@" draw galley 100ml
    row "  due" "$log" "$@" due
    row "  outlook" "$log" "$@" outlook
    row "  log" "$log" "$@" log
    row "  log --kind swap" "$log" "$@" log --kind swap
    row "  export" "$log" "$@" export
    row "  verify" "$log" "$@" verify
done
