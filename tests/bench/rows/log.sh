# SPDX-License-Identifier: MIT
# shellcheck shell=bash
# What the log has to do in bulk; nothing else does the same, so there is nobody beside it.
cat >"$WORK/import.sh" <<END
set -e
rm -f "$WORK/import.db"
"$QUARTERTURN" --log "$WORK/import.db" station add "$PWD/examples/stations/dock.json" >/dev/null
cd "$WORK/readings-10000"
exec "$QUARTERTURN" --log "$WORK/import.db" log import *.csv
END
bench_log 10000 >/dev/null
RUNS=3 row '10,000 readings files into a new log' '5 s; 200 MiB' 'quarterturn log import' "bash $WORK/import.sh"
RUNS=3 row 'log verify of 100,000 checks, each computed again' '5 s; 200 MiB' \
  'quarterturn log verify' "$QUARTERTURN --log $(bench_log 100000) log verify"
