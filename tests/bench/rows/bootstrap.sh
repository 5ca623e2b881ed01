# SPDX-License-Identifier: MIT
# shellcheck shell=bash
# Checks drawn anew and fitted again. What is timed of a refit: ours begins with readings and ends with ±, the peers'
# begin with sums of squares and end with the variances.
row 'one refit of that check, one thread' '1.5 us balanced' --said \
  quarterturn 'build/bootstrap_bench --work refit --runs 5' \
  'NumPy, all replicates at once' "$PYTHON $PEERS/refit_numpy.py 10000" \
  'R, base' "Rscript --vanilla $PEERS/refit.R 2000" \
  'SciPy' "$PYTHON $PEERS/refit_scipy.py 500"
row '10,000 checks drawn anew and fitted again' '25 ms on two processors' --said \
  quarterturn 'build/bootstrap_bench --work bootstrap --runs 3' \
  'quarterturn, one thread' 'build/bootstrap_bench --work bootstrap --runs 3 --threads 1'
row 'one refit where places and readings differ from strip to strip, one thread' '10 us' --said \
  quarterturn 'build/bootstrap_bench --work refit --less yes --runs 5'
row '10,000 such checks drawn anew and fitted again' '25 ms on two processors' --said \
  quarterturn 'build/bootstrap_bench --work bootstrap --less yes --runs 3'
row 'a check with everything that is told of one, by itself, one thread' 'no mark' --said \
  quarterturn 'build/bootstrap_bench --work plain --refits 300 --threads 1 --runs 3'
