#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Installs a build into a folder of its own, then builds and runs examples/embed.cpp against it alone.
#   bash tests/install/install.sh BUILD CXX [--each-header]     run by ctest
set -euo pipefail
root=$(CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.." && pwd)
build=$1 cxx=$2
stage=$build/stage consumer=$build/consumer
rm -rf "$stage" "$consumer"
fail() { echo "install: $*" >&2; exit 1; }
# What a step says is shown only when it fails.
quietly() {
  "$@" >"$build/install.log" 2>&1 || { cat "$build/install.log" >&2; fail "failed: $*"; }
}

quietly cmake --install "$build" --prefix "$stage"
for file in bin/quarterturn share/man/man1/quarterturn.1.gz share/man/man1/quarterturn-check.1.gz \
  share/bash-completion/completions/quarterturn share/zsh/vendor-completions/_quarterturn \
  share/fish/vendor_completions.d/quarterturn.fish share/quarterturn/schema/check.json \
  share/doc/quarterturn/copyright share/doc/quarterturn/examples/stations/dock.json; do
  [ -s "$stage/$file" ] || fail "$file is not there"
done
# A page a word, no more and no less.
words=$("$stage/bin/quarterturn" --completion bash | sed -n 's/^ *words=(\([a-z ]*\))$/\1/p' | tr ' ' '\n' | sort)
pages=$(cd "$stage/share/man/man1" && ls | sed -n 's/^quarterturn-\(.*\)\.1\.gz$/\1/p' | sort)
[ -n "$words" ] && [ "$words" = "$pages" ] || fail "words are $words, pages are $pages"

# What is installed shows nothing of the libraries underneath.
public=$stage/include/quarterturn
if grep -rnE '#include <[^>]*[/.][^>]*>' "$public"; then fail "a public header includes more than the standard's"; fi
if grep -rnEw 'Eigen|boost|fmt|nlohmann|SQLite|CLI|date::[a-z_]+' "$public" | grep -v '://\|: *///\?'; then
  fail "a public header names a library's types"
fi

quietly cmake -S "$root/tests/install" -B "$consumer" -G Ninja -DCMAKE_BUILD_TYPE=Debug -DCMAKE_CXX_COMPILER="$cxx" \
  -DCMAKE_PREFIX_PATH="$stage" -DEXAMPLE="$root/examples/embed.cpp" -DPUBLIC="$public"
# Not found by chance in the tree it came from.
grep -q "^quarterturn_DIR:PATH=$stage/" "$consumer/CMakeCache.txt" || fail "another quarterturn was found"
quietly cmake --build "$consumer"
[ "${3-}" != --each-header ] || quietly cmake --build "$consumer" --target each_header

# The same station and readings, once by the library and once by the program.
readings=$root/examples/readings/dock-first.csv station=$root/examples/stations/dock.json
said=$("$consumer/embed" "$readings" "$station")
[ "$(printf '%s\n' "$said" | sed 1d)" = "$("$stage/bin/quarterturn" check "$readings" --station "$station" --json)" ] ||
  fail "the library does not answer as the program does"
case $(printf '%s\n' "$said" | head -n 1) in
  OUTSIDE*"over 90°"*) ;;
  *) fail "first line: $said" ;;
esac
status=0
"$consumer/embed" "$station" "$station" 2>/dev/null || status=$?
[ "$status" = 3 ] || fail "bad readings leave $status"
