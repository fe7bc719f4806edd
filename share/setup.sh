#!/bin/sh
# Installs what ullage is built with on Debian 12 or newer, as root or through sudo; does nothing where all is there.
set -eu
packages="gcc meson ninja-build pkg-config libncurses-dev libsqlite3-dev libcmocka-dev"
[ $# -gt 0 ] && packages="$packages $*"
missing=""
for package in $packages; do
    dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q 'install ok installed' ||
        missing="$missing $package"
done
[ -z "$missing" ] && exit 0
if ! command -v apt-get >/dev/null; then
    # No Debian: what counts is that the tools are there, whatever their packages are called here.
    command -v meson >/dev/null && pkg-config --exists sqlite3 ncursesw cmocka && exit 0
    echo "setup.sh: this is no Debian; install what it calls:$missing" >&2
    exit 1
fi
as_root=""
[ "$(id -u)" -eq 0 ] || as_root=sudo
export DEBIAN_FRONTEND=noninteractive
# shellcheck disable=SC2086  # the words of the list are wanted apart
$as_root apt-get update -qq
# shellcheck disable=SC2086  # as above
$as_root apt-get install -y -qq --no-install-recommends $missing
