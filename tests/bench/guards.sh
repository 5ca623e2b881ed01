#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Instructions of a check, of surveys and of a refit, held to what was kept; of the Release build in build/.
#   bash tests/bench/guards.sh
set -euo pipefail
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.."
exec </dev/null
. tests/support/install.sh
configure release build -DQUARTERTURN_BENCH=ON
build release quarterturn bootstrap_bench
bash tests/bench/guard.sh build/quarterturn
bash tests/bench/guard_refit.sh build
