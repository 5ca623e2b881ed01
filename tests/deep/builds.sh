#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# The same numbers from GCC and Clang, at -O0 and -O3: four builds of the program, every number of JSON to 1e-12; an hour.
# Each tells the examples' checks, surveys, records and plans, rows also in reverse. Leaves build-gcc-O0 and so on, and what they
# told in build-numbers. Figures under 'Numbers at the edge' in DEVELOPERS.md.
#   bash tests/run.sh --deep builds [PROGRAM PROGRAM...]    compares these programs instead of building four
set -euo pipefail
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.."
. tests/support/install.sh

programs=("$@")
if [ ${#programs[@]} -eq 0 ]; then
  install_packages "${BUILD_PACKAGES[@]}" "${SANITIZER_PACKAGES[@]}" python3
  for compiler in gcc clang; do
    for level in O0 O3; do
      folder=build-$compiler-$level
      # Asserts stay in at -O0, as in a debug build; -ffp-contract=off is the house's own.
      [ $compiler = gcc ] && cxx=g++ || cxx=clang++
      [ $level = O0 ] && flags=-O0 || flags='-O3 -DNDEBUG'
      cmake -S . -B "$folder" -G Ninja -DCMAKE_BUILD_TYPE=RelWithDebInfo -DCMAKE_CXX_COMPILER=$cxx \
        -DCMAKE_CXX_FLAGS_RELWITHDEBINFO="$flags" >/dev/null
      cmake --build "$folder" --target quarterturn --parallel "$(jobs_at_once)" >/dev/null
      programs+=("$folder/quarterturn")
    done
  done
fi
rm -rf build-numbers
mkdir -p build-numbers
PYTHONDONTWRITEBYTECODE=1 python3 tests/deep/builds_compare.py build-numbers "${programs[@]}"
