# SPDX-License-Identifier: MIT
# shellcheck shell=bash
# The record of a setup with 100,000 checks. Ours reads the log with its pages' sums, and tells level, trend, step with
# its simulated scans at 400 places, chart and due date in words; the peers read the three columns they need of the same
# log, or of a text that somebody wrote them out to before.
log=$(bench_log 100000)
columns='SELECT date, utc, eta_rad, u_rad, half_width_rad, dof, verdict FROM check_versions'
sqlite3 -csv "$log" 'SELECT utc, eta_rad, u_rad FROM check_versions ORDER BY utc' >"$WORK/history.csv"
printf '.mode list\n%s;\n' "$columns" >"$WORK/history.sql"
row '100,000 checks as a whole process: read, level, trend, step, chart' 'faster than the database shell prints; 10 x NumPy, 13 x R; 200 MiB' \
  'quarterturn history' "$QUARTERTURN --log $log history" \
  'database shell prints seven columns' "sqlite3 -init $WORK/history.sql $log .exit" \
  'NumPy, no simulation' "$PYTHON $PEERS/history.py $log 0" \
  'NumPy, no simulation, columns written out before' "$PYTHON $PEERS/history.py $WORK/history.csv 0" \
  'R with RSQLite, no simulation' "Rscript --vanilla $PEERS/history.R $log 0" \
  'R, no simulation, columns written out before' "Rscript --vanilla $PEERS/history.R $WORK/history.csv 0"
row 'the same with 999 simulated scans' '0.15 s; 15 x NumPy, 40 x R' \
  'quarterturn history' "$QUARTERTURN --log $log history" \
  NumPy "$PYTHON $PEERS/history.py $log 999" \
  'R with RSQLite' "Rscript --vanilla $PEERS/history.R $log 999"
