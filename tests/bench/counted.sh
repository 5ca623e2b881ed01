# SPDX-License-Identifier: MIT
# For the guards beside it: instructions of a program by callgrind, and how they are held to what was kept. To be sourced.
. tests/support/install.sh
install_packages "${GUARD_PACKAGES[@]}"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# Valgrind shows a processor of its own, but one that follows the machine's; so the C library is told to take its plain
# variants, and the program sees nothing of the environment.
instructions() {
  env -i PATH="$PATH" LC_ALL=C.UTF-8 GLIBC_TUNABLES=glibc.cpu.hwcaps=-AVX2,-AVX,-FMA,-FMA4,-ERMS,-FSRM,-AVX512F,-AVX512VL,-MOVBE,-BMI2 \
    valgrind --tool=callgrind --callgrind-out-file="$work/out" "$@" >"$work/stdout" 2>"$work/stderr" || { cat "$work/stderr" >&2; return 1; }
  [ -s "$work/stdout" ] || { echo "nothing was told: $*" >&2; return 1; }
  sed -n 's/^\(summary\|totals\): *\([0-9]*\).*/\2/p' "$work/out" | tail -n 1
}

# hold KEPT NOW AGAIN [--keep]: rows `name count` are held to the file, 5 % either way, or written into it; AGAIN is the
# command that writes it.
hold() {
  local kept=$1 now=$2 again=$3 wrong=0 name counted was share
  if [ "${4:-}" = --keep ]; then
    printf '# Instructions by callgrind, Release, GCC 12 of Debian 12, x86-64. New ones: %s\n%s\n' "$again" "$now" >"$kept"
    cat "$kept"
    return 0
  fi
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
  $again
END
    return 1
  fi
}
