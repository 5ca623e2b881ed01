# SPDX-License-Identifier: MIT
# shellcheck shell=bash
# One check as a whole process; the peers read the same file and fit the same variances and corner.
READINGS=$PWD/examples/readings/dock-long.csv
RUNS=$((RUNS * 4)) row 'one check, 8 strips x 6 places x 3 readings, whole process' \
  '2.5 x an empty program; 100 x R; 50 x NumPy; 30 MiB' \
  quarterturn "$QUARTERTURN check $READINGS" \
  'empty static program' "$WORK/empty" \
  'NumPy, REML by hand' "$PYTHON $PEERS/check.py $READINGS" \
  'R, base, REML by hand' "Rscript --vanilla $PEERS/check_base.R $READINGS" \
  'R, nlme' "Rscript --vanilla $PEERS/check_nlme.R $READINGS" \
  'R, lme4' "Rscript --vanilla $PEERS/check_lme4.R $READINGS"
