#!/bin/sh
# Builds and runs all benches and prints one table: what | goal | measured | met.
# usage: run.sh [OPTIONS OF bench_log] [SCRATCH]     for example: run.sh --huge 10000000 /var/tmp/bench
# The build is in $BUILD (else build-bench in the project's root), one with static libraries beside it. Exit 1 where a goal is missed.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
build=${BUILD:-$root/build-bench}
[ -e "$build/build.ninja" ] || meson setup "$build" "$root" >&2
meson compile -C "$build" -j 2 ullage bench_raw slow_sync bench_log bench_fold bench_board bench_tui >&2
[ -e "$build-static/build.ninja" ] || meson setup -Dprefer_static=true "$build-static" "$root" >&2
meson compile -C "$build-static" -j 2 ullage:executable >&2

rows=$(mktemp "${TMPDIR:-/tmp}/ullage-rows-XXXXXX")
trap 'rm -f "$rows"' EXIT INT TERM
status=0
echo "what | goal | measured | met" >"$rows"
"$build/tests/bench/bench_log" --ullage "$build/src/ullage" --raw "$build/tests/bench/bench_raw" \
    --slow-sync "$build/tests/bench/libslow_sync.so" \
    --static "$build-static/src/ullage" "$@" \
    >>"$rows" || status=$?
"$build/tests/bench/bench_fold" >>"$rows" || status=$?
"$build/tests/bench/bench_board" --ullage "$build/src/ullage" >>"$rows" || status=$?
"$build/tests/bench/bench_tui" --ullage "$build/src/ullage" --minute >>"$rows" || status=$?
awk -F ' [|] ' '
    { for (i = 1; i <= NF; i++) { cell[NR, i] = $i; if (length($i) > wide[i]) wide[i] = length($i) } fields[NR] = NF }
    END {
        for (r = 1; r <= NR; r++) {
            line = ""
            for (i = 1; i <= fields[r]; i++)
                line = line sprintf("%-" wide[i] "s%s", cell[r, i], i < fields[r] ? "  " : "")
            sub(/ +$/, "", line)
            print line
        }
    }' "$rows"
exit $status
