#!/bin/sh
# Builds ullage and opens it on a throw-away copy of the demo log.
set -eu
cd "$(dirname "$0")/.."
sh share/setup.sh >&2
[ -d build ] || meson setup build >&2
meson compile -C build >&2
exec ./build/src/ullage demo
