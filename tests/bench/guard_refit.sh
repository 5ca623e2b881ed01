#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Counts the instructions of one refit of a check drawn anew, one of the bootstrap and one draw, and holds them to those
# kept in guard_refit_counts.txt, 5 % either way: the code for any x86-64 machine, so that it is the same everywhere.
#   bash tests/bench/guard_refit.sh FOLDER           of a Release build, with -DQUARTERTURN_BENCH=ON: holds
#   bash tests/bench/guard_refit.sh FOLDER --keep    writes what it counts as the new figures
set -euo pipefail
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.."
exec </dev/null
command -v valgrind >/dev/null || {
  echo "valgrind is missing. Install it:  apt-get install --no-install-recommends valgrind" >&2
  exit 1
}
build=${1:-build}
kept=tests/bench/guard_refit_counts.txt
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

count() {
  env -i PATH="$PATH" LC_ALL=C.UTF-8 GLIBC_TUNABLES=glibc.cpu.hwcaps=-AVX2,-AVX,-FMA,-FMA4,-ERMS,-FSRM,-AVX512F,-AVX512VL,-MOVBE,-BMI2 \
    valgrind --tool=callgrind --callgrind-out-file="$work/out" "$@" --isa plain --runs 1 --threads 1 >"$work/stdout" 2>"$work/stderr" || {
    cat "$work/stderr" >&2
    return 1
  }
  sed -n 's/^\(summary\|totals\): *\([0-9]*\).*/\2/p' "$work/out" | tail -n 1
}

# each FEW MANY COMMAND...: of one, without what comes before the first; COMMAND ends with the option of how many.
each() {
  local few=$1 many=$2 less more
  shift 2
  less=$(count "$@" "$few")
  more=$(count "$@" "$many")
  echo $(((more - less) / (many - few)))
}

now="refit $(each 200 1200 "$build/bootstrap_bench" --work refit --refits)
bootstrap $(each 200 1200 "$build/bootstrap_bench" --work bootstrap --refits)
refit-by-itself $(each 5 25 "$build/bootstrap_bench" --work plain --refits)"
if [ "${2:-}" = --keep ]; then
  printf '# Instructions of one by callgrind, Release, GCC 12 of Debian 12, x86-64. New ones: bash tests/bench/guard_refit.sh build --keep\n%s\n' "$now" >"$kept"
  cat "$kept"
  exit 0
fi
wrong=0
while read -r name counted; do
  was=$(sed -n "s/^$name //p" "$kept")
  share=$(awk -v a="$counted" -v b="${was:-0}" 'BEGIN { if (b > 0) printf "%+.1f", 100 * (a / b - 1); else print "new" }')
  printf '%-20s %12d instructions, kept %s: %s %%\n' "$name" "$counted" "${was:-none}" "$share"
  awk -v s="$share" 'BEGIN { exit !(s == "new" || s > 5 || s < -5) }' && wrong=1
done <<<"$now"
if [ "$wrong" -ne 0 ]; then
  echo "More than 5 % from what was kept. Find out why, or keep the new figures with the change: bash tests/bench/guard_refit.sh $build --keep" >&2
  exit 1
fi
