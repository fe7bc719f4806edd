#!/bin/sh
# What is installed beside the program is in order: share.sh SOURCE VERSION
# Asks what stands on this machine; says what it could not ask, and exits with 77 where that was all.
set -u
cd "$1" || exit 1
version=$2
asked=0
bad=0
ask() { # what, command...
    what=$1
    shift
    command -v "$1" >/dev/null 2>&1 || {
        echo "no $1 on this machine: $what was not asked"
        return
    }
    asked=1
    "$@" || {
        echo "$what: not in order"
        bad=1
    }
}
says() { # file, words
    grep -qF -- "$2" "$1" || {
        echo "$1 does not say: $2"
        bad=1
    }
}
ask 'the desktop entry' desktop-file-validate share/ullage.desktop
says share/ullage.desktop 'Exec=ullage' # what the validator does not miss
ask 'the metainfo' appstreamcli validate --pedantic --no-net share/ullage.metainfo.xml
says share/ullage.metainfo.xml "<release version=\"$version\""
says share/NEWS "ullage $version,"
[ "$(sed -n 1p share/NEWS | cut -d, -f1)" = "ullage $version" ] || {
    echo "share/NEWS does not begin with ullage $version"
    bad=1
}
ask 'the icon' xmllint --noout share/ullage.svg
for page in man/*.[1-8]; do
    ask "$page" mandoc -Tlint -Wwarning "$page"
done
for shell in bash zsh fish; do
    ask "share/ullage.$shell" "$shell" -n "share/ullage.$shell"
done
[ "$asked" -eq 1 ] || exit 77
exit "$bad"
