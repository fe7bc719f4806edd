#!/bin/sh
# Builds ullage and runs every test: once as it ships, once under the address and undefined-behaviour
# sanitizers. Ends with the number of cmocka tests passed and failed over both.
set -u
cd "$(dirname "$0")/.." || exit 1
sh share/setup.sh tmux zsh fish appstream desktop-file-utils mandoc libical-dev python3-icalendar >&2 || exit 1
status=0
run() { # folder, meson options...
    folder=$1
    shift
    [ -d "$folder" ] || meson setup "$folder" "$@" >&2 || exit 1
    meson compile -C "$folder" >&2 || exit 1
    UBSAN_OPTIONS=halt_on_error=1:print_stacktrace=1 meson test -C "$folder" --no-rebuild --print-errorlogs || status=1
    log=$folder/meson-logs/testlog.txt
    passed=$((passed + $(grep -c '^\[       OK \]' "$log")))
    failed=$((failed + $(grep -c '^\[  FAILED  \] [a-z_A-Z0-9]*$' "$log")))
}
passed=0
failed=0
run build
run build-asan -Db_sanitize=address,undefined -Db_lundef=false
[ "$passed" -gt 0 ] || status=1 # no test at all is no success
[ "$status" -eq 0 ] || [ "$failed" -gt 0 ] || failed=1 # a test program that broke outside a cmocka test
echo "$passed passed, $failed failed"
exit $status
