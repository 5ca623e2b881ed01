#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Counts the instructions of a check and of surveys and holds them to those kept in guard_counts.txt, 5 % either way: a
# time would say more about who else uses the machine.
#   bash tests/bench/guard.sh PROGRAM           holds
#   bash tests/bench/guard.sh PROGRAM --keep    writes what it counts as the new figures
set -euo pipefail
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.."
exec </dev/null
. tests/support/install.sh
install_packages "${GUARD_PACKAGES[@]}"

program=$(realpath "${1:-build/quarterturn}")
kept=tests/bench/guard_counts.txt
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# Valgrind shows a processor of its own, but one that follows the machine's; so the C library is told to take its plain
# variants, and the program sees nothing of the environment.
count() {
  env -i PATH="$PATH" LC_ALL=C.UTF-8 GLIBC_TUNABLES=glibc.cpu.hwcaps=-AVX2,-AVX,-FMA,-FMA4,-ERMS,-FSRM,-AVX512F,-AVX512VL,-MOVBE,-BMI2 \
    valgrind --tool=callgrind --callgrind-out-file="$work/out" "$program" --log "$work/none.db" "$@" \
    >"$work/stdout" 2>"$work/stderr" || { cat "$work/stderr" >&2; return 1; }
  [ -s "$work/stdout" ] || { echo "nothing was told: $*" >&2; return 1; }
  sed -n 's/^\(summary\|totals\): *\([0-9]*\).*/\2/p' "$work/out" | tail -n 1
}

runs() {
  echo "start $(count --version)"
  echo "check $(count check examples/readings/dock-long.csv)"
  echo "check-with-station $(count check examples/readings/dock-progressive.csv --station examples/stations/dock.json)"
  echo "survey $(count survey examples/surveys/dock.csv --station examples/stations/dock.json)"
  echo "survey-set-aside $(count survey examples/surveys/loft.csv --station examples/stations/loft.json)"
}

now=$(runs)
if [ "${2:-}" = --keep ]; then
  printf '# Instructions by callgrind, Release, GCC 12 of Debian 12, x86-64. New ones: bash tests/bench/guard.sh build/quarterturn --keep\n%s\n' "$now" >"$kept"
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
  cat >&2 <<END
More than 5 % from what was kept. If it became slower without a reason, find out why: valgrind --tool=callgrind, then
callgrind_annotate --inclusive=yes. If it became faster, or the reason is good, keep the new figures with the change:
  bash tests/bench/guard.sh build/quarterturn --keep
END
  exit 1
fi
