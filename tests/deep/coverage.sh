#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Which lines and branches of src/ the suites run, a row a folder; 95 % and 85 % at least; some 15 minutes.
# Clang counts in the source: a branch is either side of each condition that is not known when compiling, also inside
# && and ||; what throws by itself is none. The program that tests start counts too; where it is killed outright, what
# it had run by then is lost. Simulated cells are left out: they run nothing else.
set -euo pipefail
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.."
. tests/support/install.sh
install_packages "${BUILD_PACKAGES[@]}" "${TEST_PACKAGES[@]}" "${SANITIZER_PACKAGES[@]}" llvm python3

configure coverage build-coverage
build coverage
unset QUARTERTURN_LOG QUARTERTURN_TRIALS NO_COLOR
rm -rf build-coverage/home build-coverage/profile
mkdir -p build-coverage/home build-coverage/profile
export XDG_DATA_HOME=$PWD/build-coverage/home QUARTERTURN_COUNTED=1 # tests that the counting itself would fail are left out
ctest --test-dir build-coverage --output-on-failure --no-tests=error --exclude-regex '^install$' \
  --parallel "$(jobs_at_once)" --timeout 3600 >build-coverage/tests.log || { tail -n 40 build-coverage/tests.log; exit 1; }
llvm-profdata merge -o build-coverage/all.profdata build-coverage/profile/*.profraw
llvm-cov export -summary-only -instr-profile build-coverage/all.profdata build-coverage/quarterturn_tests \
  -object build-coverage/quarterturn >build-coverage/summary.json
python3 tests/deep/coverage_table.py build-coverage/summary.json .
