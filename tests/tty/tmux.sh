# shellcheck shell=sh
# What the scripts here share: a tmux of their own as the terminal, a private folder as HOME, and waiting for
# what is expected (a minute at most on a machine that is busy, never a fixed pause). Read by each with `.`; $1 is the program.
set -eu
ullage=$1
command -v tmux >/dev/null || {
    echo "tmux is not there: install the package tmux; this test is left out" >&2
    exit 77 # meson: skipped
}
scene=$(mktemp -d "${TMPDIR:-/tmp}/ullage-tmux-XXXXXX")
finish() {
    tmux -S "$scene/tmux" kill-server 2>/dev/null || true
    rm -rf "$scene"
}
trap finish EXIT
trap 'exit 1' INT TERM HUP

t() { tmux -S "$scene/tmux" -f /dev/null "$@"; }
picture() { t capture-pane -p; }
fail() {
    echo "$*" >&2
    picture >&2 || true
    exit 1
}

# COLUMNS ROWS: a window with a shell in it.
begin() {
    cat >"$scene/shell" <<END
exec env -i PATH="$PATH" HOME="$scene" TZ=UTC0 LC_ALL=C.UTF-8 TERM=screen PS1='\$ ' \
    ASAN_OPTIONS="${ASAN_OPTIONS:-}" UBSAN_OPTIONS="${UBSAN_OPTIONS:-}" sh -i
END
    t new-session -d -x "$1" -y "$2" "exec sh '$scene/shell'"
    shows '\$'
}

type_in() { t send-keys "$@"; }

# until COMMAND...: it succeeds, or the test fails.
until_so() {
    tries=1200
    while ! "$@" >/dev/null 2>&1; do
        tries=$((tries - 1))
        [ "$tries" -gt 0 ] || fail "in vain: $*"
        sleep 0.05
    done
}
seen() { picture | grep -q -- "$1"; }
unseen() { ! seen "$1"; }
shows() { until_so seen "$1"; }
no_more() { until_so unseen "$1"; }
hinted() { picture | tail -n 1 | grep -q 'f fill'; } # an empty last row would be listed, too
hints_in_the_last_row() { until_so hinted; }

# Sent anew, the window shows the same; a minute may end within, then once more.
same_when_sent_anew() {
    for _ in 1 2 3; do
        picture >"$scene/before"
        type_in C-l
        for _ in 1 2 3 4 5 6 7 8 9 10; do
            sleep 0.05
            picture >"$scene/after"
            ! cmp -s "$scene/before" "$scene/after" || return 0
        done
    done
    diff "$scene/before" "$scene/after" >&2
    fail "sent anew, the window is another"
}

# Runs the program without a terminal in the scene's HOME.
say() { HOME=$scene TZ=UTC0 ULLAGE_LOG='' XDG_DATA_HOME='' "$ullage" "$@"; }

# A small log: two vessels on the line, one in reserve.
log_begin() {
    for vessel in A1 A2; do
        say vessel "$vessel" --capacity 12 --class potable --at -3d
    done
    say vessel R1 --capacity 12 --class potable --duty reserve --at -3d
    say couple galley A1 A2 --at -3d
    say fill A1 full --from 'Holm tap' --at -2d
    say fill A2 full --from 'Holm tap' --at -2d
    say draw galley 3.5 --at -1d
} >/dev/null
