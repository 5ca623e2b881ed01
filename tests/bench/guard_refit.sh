#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Counts the instructions of one refit of a check drawn anew, one of the bootstrap and one draw, and holds them to those
# kept in guard_refit_counts.txt, 5 % either way: the code for any x86-64 machine, so that it is the same everywhere.
#   bash tests/bench/guard_refit.sh FOLDER           of a Release build with -DQUARTERTURN_BENCH=ON: holds
#   bash tests/bench/guard_refit.sh FOLDER --keep    writes what it counts as the new figures
set -euo pipefail
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.."
exec </dev/null
. tests/bench/counted.sh
build=${1:-build}

count() {
  instructions "$@" --isa plain --runs 1 --threads 1
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
refit-uneven $(each 200 1200 "$build/bootstrap_bench" --work refit --less yes --refits)
bootstrap $(each 200 1200 "$build/bootstrap_bench" --work bootstrap --refits)
refit-by-itself $(each 5 25 "$build/bootstrap_bench" --work plain --refits)"
hold tests/bench/guard_refit_counts.txt "$now" "bash tests/bench/guard_refit.sh build --keep" "${2:-}"
