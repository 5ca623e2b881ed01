# SPDX-License-Identifier: MIT
# shellcheck shell=bash
# One adjustment of a free network with known weights, timed by each program itself, data read and made before.
build/survey_bench data 80 40 >"$WORK/survey-80x40.txt"
build/survey_bench data 40 20 >"$WORK/survey-40x20.txt"
row 'survey 80 x 40, four distances a hole: every standard error, redundancy and w, 320 angles of near holes' '0.06 s' --said \
  quarterturn 'build/survey_bench near 80 40' \
  'SciPy, sparse LU, solves' "$PYTHON $PEERS/survey.py sparse near $WORK/survey-80x40.txt" \
  'NumPy, dense' "$PYTHON $PEERS/survey.py dense near $WORK/survey-80x40.txt"
row 'the same, 320 angles of far holes' '0.25 s' --said \
  quarterturn 'build/survey_bench far 80 40' \
  'SciPy, sparse LU, solves' "$PYTHON $PEERS/survey.py sparse far $WORK/survey-80x40.txt"
row 'a quarter of the holes, 40 x 20 (the exponent of growth: log of the ratio over log 4)' 'exponent 1.4' --said \
  quarterturn 'build/survey_bench near 40 20' \
  'quarterturn, 80 x 40' 'build/survey_bench near 80 40' \
  'SciPy, sparse LU, solves, 40 x 20' "$PYTHON $PEERS/survey.py sparse near $WORK/survey-40x20.txt"
row 'the mixed model of survey, 80 x 40: scatter of holes fitted, rows and columns tested for' '–' --said \
  quarterturn 'build/survey_bench model 80 40'
