#!/bin/sh
# test_packages.sh SOURCE-ROOT - tools/setup asks only for what is missing, and says what to install where it cannot.
# The package manager is played by small scripts on a PATH of our own.
set -eu
root=$1
bin=$(mktemp -d)
trap 'rm -rf "$bin"' EXIT
for tool in sh awk sed cat dirname id env; do ln -s "$(command -v $tool)" "$bin/$tool"; done

fail()
{
    echo "FAILED: $1"
    exit 1
}

# 1. no apt-get here: the list, a sentence, exit code 1
if PATH=$bin "$bin/sh" "$root/tools/setup" build >"$bin/out" 2>&1; then fail 'a system without apt-get should stop'; fi
cat "$bin/out"
for word in 'no apt-get' libvips-dev libgeos-dev; do
    grep -q "$word" "$bin/out" || fail "the list should say $word"
done
grep -q libcmocka-dev "$bin/out" && fail 'building needs no test packages'

# 2. everything but libgeos-dev is there: only that is asked for
cat >"$bin/dpkg-query" <<'SCRIPT'
#!/bin/sh
for last; do :; done
[ "$last" = libgeos-dev ] || { printf 'ii '; exit 0; }
echo "no packages found matching $last" >&2
exit 1
SCRIPT
cat >"$bin/apt-get" <<SCRIPT
#!/bin/sh
echo "\$*" >>"$bin/asked"
SCRIPT
printf '#!/bin/sh\nexec "$@"\n' >"$bin/sudo"
chmod +x "$bin/dpkg-query" "$bin/apt-get" "$bin/sudo"
PATH=$bin "$bin/sh" "$root/tools/setup" all
grep -q '^update$' "$bin/asked" || fail 'the package list should be read anew before anything is installed'
grep -q '^install -y --no-install-recommends libgeos-dev$' "$bin/asked" || fail 'only libgeos-dev should be installed'

# 3. everything is there: nothing is asked
rm "$bin/asked"
printf '#!/bin/sh\nprintf "ii "\n' >"$bin/dpkg-query"
PATH=$bin "$bin/sh" "$root/tools/setup" all
[ ! -e "$bin/asked" ] || fail 'nothing is missing, so nothing should be installed'

# 4. a wrong word
if PATH=$bin "$bin/sh" "$root/tools/setup" everything 2>/dev/null; then fail 'an unknown section should be refused'; fi
echo 'all as it should be'
