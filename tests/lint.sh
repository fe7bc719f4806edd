#!/bin/sh
# Everything that looks at the code without running it: clang-format, clang-tidy, cppcheck, shellcheck.
# usage: lint.sh [FILE.c ...]     all of src and tests where no file is named
# clang-tidy reads the flags from build-lint, which is set up here with clang: those of gcc are not all its own.
# Exit 1 where a tool finds something or is not installed.
set -u
root=$(cd "$(dirname "$0")/.." && pwd)
cd "$root" || exit 2
build='build-lint'
bad=0

have() {
    command -v "$1" >/dev/null 2>&1 && return 0
    echo "lint: $1 is not installed"
    bad=1
    return 1
}

passed() { # the status of what ran just before
    if [ "$2" -eq 0 ]; then
        echo "lint: $1: nothing found"
    else
        echo "lint: $1: see above"
        bad=1
    fi
}

if [ $# -gt 0 ]; then
    units=$*
    sources=$*
else
    units=$(find src tests -name '*.c' | sort)
    sources=$(find src tests -name '*.[ch]' | sort)
fi
scripts=$(find share tests .ci -name '*.sh' -o -path .ci/run | sort)

# The names have no spaces, so they may fall apart into words.
if have clang-format; then
    # shellcheck disable=SC2086
    clang-format --dry-run -Werror $sources
    passed clang-format $?
fi
if have clang-tidy && have clang && have meson; then
    if CC=clang meson setup --reconfigure "$build" >/dev/null 2>&1 ||
        CC=clang meson setup "$build" >&2; then
        # one file a run: with several, version 14 loses sight of va_start
        # shellcheck disable=SC2086
        printf '%s\n' $units | xargs -n 1 -P 2 clang-tidy --quiet -p "$build" 2>/dev/null
        passed clang-tidy $?
    else
        bad=1
    fi
fi
if have cppcheck; then
    # Left out: headers of the system, which it need not see; and NULL at the end of a variadic call, which
    # POSIX makes a pointer (<stddef.h>).
    # shellcheck disable=SC2086
    cppcheck --quiet --std=c11 --enable=warning,performance,portability --inline-suppr \
        --suppress=missingIncludeSystem --suppress=varFuncNullUB --error-exitcode=1 -Isrc -Itests -j 2 \
        --template='{file}:{line}: {id}: {message}' $units
    passed cppcheck $?
fi
if have shellcheck; then
    # shellcheck disable=SC2086
    shellcheck -x -P SCRIPTDIR $scripts
    passed shellcheck $?
fi
exit $bad
