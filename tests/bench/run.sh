#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Times the program beside what people use instead, on this machine and the same data, and prints a table.
#   bash tests/bench/run.sh [ROW...]     rows: the files of tests/bench/rows, all without one
# QUARTERTURN_BENCH_RUNS: how often each is run (11). Data stay in build/bench.
set -euo pipefail
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.."
exec </dev/null
. tests/support/install.sh

install_packages "${BUILD_PACKAGES[@]}" "${TEST_PACKAGES[@]}" "${BENCH_PACKAGES[@]}"
configure release build -DQUARTERTURN_BENCH=ON
build release 1>&2

RUNS=${QUARTERTURN_BENCH_RUNS:-11}
WORK=$PWD/build/bench
PYTHON=/usr/bin/python3 # the one that Debian packages install for
PEERS=$PWD/tests/bench/peers
QUARTERTURN=$WORK/quarterturn
mkdir -p "$WORK"
# As installed, and so is the empty one: a file that a linker wrote lies in the system's cache in smaller pieces than one
# that was copied, and starts more slowly until it is read anew.
cp build/quarterturn "$QUARTERTURN"
cc -O2 -static -o "$WORK/empty.linked" tests/bench/empty.c
cp "$WORK/empty.linked" "$WORK/empty"
export QUARTERTURN_LOG=$WORK/none.db OMP_NUM_THREADS=${OMP_NUM_THREADS:-2}

# row WORK TO-REACH [OPTION...] NAME COMMAND...: ours comes first.
row() {
  local work=$1 reach=$2
  shift 2
  build/measure --work "$work" --reach "$reach" --runs "$RUNS" "$@"
}

# bench_log COUNT: a log of so many checks, made once.
bench_log() {
  local log=$WORK/log-$1.db files=$WORK/readings-$1
  if [ ! -e "$log" ]; then
    [ -e "$files" ] || "$PYTHON" tests/bench/make_log_files.py "$1" "$files"
    rm -f "$log.part"
    "$QUARTERTURN" --log "$log.part" station add examples/stations/dock.json >/dev/null
    (cd "$files" && find . -name '*.csv' -print | sort | xargs -n 10000 "$QUARTERTURN" --log "$log.part" log import >/dev/null)
    mv "$log.part" "$log"
  fi
  printf '%s\n' "$log"
}

echo '| work | to reach | who | median (range) | against ours | processor time of the process | against ours | peak MiB |'
echo '| --- | --- | --- | --- | --- | --- | --- | --- |'
if [ $# -gt 0 ]; then rows=("${@/#/tests/bench/rows/}") && rows=("${rows[@]/%/.sh}"); else rows=(tests/bench/rows/*.sh); fi
for file in "${rows[@]}"; do
  # shellcheck source=/dev/null
  . "$file"
done
