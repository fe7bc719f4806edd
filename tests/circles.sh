#!/bin/sh
# No circle between the files of src: one needs another where it uses a name that the other defines, as the
# object files of a build tell it.
# usage: circles.sh BUILD_DIR     prints the files of each circle; exit 1 where there is one, 77 where the build
# does not tell (several files in one object; objects that nm can't read).
set -u
cd "$1/src" || exit 1
needs=$(mktemp "${TMPDIR:-/tmp}/ullage-circles-XXXXXX")
trap 'rm -f "$needs"' EXIT INT TERM

# "floor/file.c floor/file.c": the first uses what the second defines.
find . -name '*.o' -exec "${NM:-nm}" -A -P {} + 2>/dev/null | awk '
{
    file = $1
    sub(/\.o:$/, "", file)
    sub(/.*\//, "", file)
    sub(/_/, "/", file)
    if ($3 == "U")
        uses[file, $2]
    else if ($3 ~ /^[A-Z]$/)
        defined[$2] = file
}
END {
    for (use in uses) {
        split(use, pair, SUBSEP)
        other = defined[pair[2]]
        if (other != "" && other != pair[1])
            print pair[1], other
    }
}' | sort -u >"$needs"
if [ ! -s "$needs" ] || grep -q unity "$needs"; then
    echo "circles: this build does not tell file by file"
    exit 77
fi
tsort "$needs" >/dev/null || exit 1
echo "circles: none among $(tr ' ' '\n' <"$needs" | sort -u | wc -l) files"
