#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Fuzzing: each target of tests/fuzz until it has run 10 million inputs or for 20 minutes, two at once; 80 minutes.
# A deep part begins like this file: its third line is what --deep list says of it, the comment goes on with what it takes,
# what it leaves where, and which figures of DEVELOPERS.md it makes. It starts in any folder, with nothing to read from,
# installs and builds what it needs, and ends with a status other than 0 when something is wrong.
# Builds the library once more (build-fuzz), with comparisons traced too; leaves logs and what stopped a target in
# build-fuzz/fuzz. The figures under 'Fuzzing' in DEVELOPERS.md.
#   bash tests/run.sh --deep fuzz [TARGET|all] [SECONDS] [RUNS]
set -euo pipefail
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.."
. tests/support/install.sh

install_packages "${BUILD_PACKAGES[@]}" "${TEST_PACKAGES[@]}" "${SANITIZER_PACKAGES[@]}"
configure fuzz build-fuzz
build fuzz
bash tests/fuzz/run.sh build-fuzz "${1:-all}" "${2:-1200}" "${3:-10000000}"
