#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Mutants of src/stats and src/correct: 260 of them, 90 % have to be noticed by the suites; half an hour on two free processors.
# Against a release build; survivors need a reason in tests/deep/mutants_survive.csv. Figures under 'Mutants' in DEVELOPERS.md.
#   bash tests/run.sh --deep mutants [--mutants 260] [--seed 1] [--only N,N] [--jobs N]
set -euo pipefail
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.."
. tests/support/install.sh
install_packages "${BUILD_PACKAGES[@]}" "${TEST_PACKAGES[@]}" lld python3
configure release build -DQUARTERTURN_TESTS=ON
build release quarterturn_tests
unset QUARTERTURN_LOG QUARTERTURN_TRIALS NO_COLOR
PYTHONDONTWRITEBYTECODE=1 python3 tests/deep/mutants.py build "$@"
