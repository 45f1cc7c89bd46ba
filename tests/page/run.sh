#!/bin/sh
# run.sh TEST.mjs - runs one test of the page, or says what is missing and skips it (77).
skip()
{
    echo "SKIPPED: $1; \`tools/setup all\` installs it where it can."
    exit 77
}
command -v node >/dev/null || skip 'node is not here'
PM_PAGE_MODULES=${PM_PAGE_MODULES:-${XDG_CACHE_HOME:-$HOME/.cache}/papermason/page-tests/node_modules}
export PM_PAGE_MODULES
for package in playwright-core axe-core; do
    [ -f "$PM_PAGE_MODULES/$package/package.json" ] || skip "$package is not here"
done
command -v "${PM_CHROMIUM:-chromium}" >/dev/null || skip 'chromium is not here'
exec node "$@"
