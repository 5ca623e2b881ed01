#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Counts the instructions of a check and of surveys and holds them to those kept in guard_counts.txt, 5 % either way: a
# time would say more about who else uses the machine.
#   bash tests/bench/guard.sh PROGRAM           holds
#   bash tests/bench/guard.sh PROGRAM --keep    writes what it counts as the new figures
set -euo pipefail
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.."
exec </dev/null
. tests/bench/counted.sh
program=$(realpath "${1:-build/quarterturn}")

count() {
  instructions "$program" --log "$work/none.db" "$@"
}

now="start $(count --version)
check $(count check examples/readings/dock-long.csv)
check-with-station $(count check examples/readings/dock-progressive.csv --station examples/stations/dock.json)
survey $(count survey examples/surveys/dock.csv --station examples/stations/dock.json)
survey-set-aside $(count survey examples/surveys/loft.csv --station examples/stations/loft.json)"
hold tests/bench/guard_counts.txt "$now" 'bash tests/bench/guard.sh build/quarterturn --keep' "${2:-}"
