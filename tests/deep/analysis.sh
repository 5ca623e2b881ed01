#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Static analysis of src/: clang-tidy, cppcheck and GCC's -fanalyzer; fails on a finding without a reason; 40 minutes.
# Findings that stand have their reason: for clang-tidy in .clang-tidy (checks left out) and beside NOLINT in the sources, for
# the others in tests/deep/analysis_known.txt. Leaves logs in build-analysis. Figures under 'Static analysis' in DEVELOPERS.md.
#   bash tests/run.sh --deep analysis [tidy|cppcheck|analyzer|all] [FILE]...
set -euo pipefail
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.."
. tests/support/install.sh
install_packages "${BUILD_PACKAGES[@]}" "${TEST_PACKAGES[@]}" "${TIDY_PACKAGES[@]}" "${SANITIZER_PACKAGES[@]}"
known=tests/deep/analysis_known.txt
part=${1:-all}
shift || true
configure tidy build-analysis -B build-analysis -DCMAKE_CXX_CLANG_TIDY= -DQUARTERTURN_TESTS=OFF

files=("$@")
[ ${#files[@]} -gt 0 ] || mapfile -t files < <(find src -name '*.cpp' | sort)

# each COMMAND...: once a file, as many at once as there are processors.
each() { printf '%s\0' "${files[@]}" | xargs -0 -n 1 -P "$(jobs_at_once)" "$@" || true; }

tidy() { each clang-tidy -p build-analysis --quiet >build-analysis/tidy.log 2>build-analysis/tidy.err; }

cpp_check() {
  cppcheck --std=c++20 --language=c++ --enable=warning,performance,portability --inline-suppr --inconclusive -j "$(jobs_at_once)" \
    -I src -DQUARTERTURN_VERSION='"0"' --template='{file}:{line}: {severity}: {message} [{id}]' --quiet "${files[@]}" \
    >build-analysis/cppcheck.log 2>&1 || true
}

# GCC 12 does not support C++ in it and knows no exceptions, so it is asked only where descriptors and raw memory are handled.
analyzer() {
  [ $# -gt 0 ] || mapfile -t files < <(grep -lE '::(open|read|write|close|mkstemp|fsync|fstat)\(|malloc' -r src --include='*.cpp' | sort)
  local flags='-std=c++20 -O1 -fanalyzer -Wno-restrict -Isrc -isystem /usr/include/eigen3 -DQUARTERTURN_VERSION="0" -DEIGEN_MPL2_ONLY'
  # shellcheck disable=SC2086
  each timeout 900 g++ $flags -c -o /dev/null >build-analysis/analyzer.log 2>&1
}

# found TOOL: findings of its log that no line of the list explains, as `file: [what]`; and what the list explains in vain.
found() {
  local tool=$1 log=build-analysis/$1.log
  sed -nE 's#^([^ ]*/)?(src/[^:]+):[0-9]+(:[0-9]+)?: (warning|error|performance|portability|style|information): .*\[([^]]+)\]$#\2 \5#p' "$log" |
    sed 's/,-warnings-as-errors//' | sort -u >build-analysis/"$tool".found
  sed -nE "s/^$tool ([^ ]+ [^ ]+) .*/\1/p" "$known" | sort -u >build-analysis/"$tool".known
  echo "$tool: $(wc -l <build-analysis/"$tool".found) findings, $(comm -12 build-analysis/"$tool".found build-analysis/"$tool".known | wc -l) with a reason"
  comm -23 build-analysis/"$tool".found build-analysis/"$tool".known | sed 's/^/  without a reason: /'
  [ -z "$(comm -23 build-analysis/"$tool".found build-analysis/"$tool".known)" ]
}

status=0
case $part in tidy | all) tidy; found tidy || status=1 ;; esac
case $part in cppcheck | all) cpp_check; found cppcheck || status=1 ;; esac
case $part in analyzer | all) analyzer "$@"; found analyzer || status=1 ;; esac
exit $status
