# SPDX-License-Identifier: MIT
# shellcheck shell=bash
# The propagation of distributions, every draw made; ours on all processors, and on one as the peers.
row '10^6 trials of 160 normals and 144 uniforms, shortest interval' '4 million trials a second; 10 x NumPy; 60 x R' --said \
  quarterturn 'build/monte_carlo_bench --runs 1' \
  'quarterturn, one thread' 'build/monte_carlo_bench --runs 1 --threads 1' \
  'NumPy' "$PYTHON $PEERS/monte_carlo.py 1000000" \
  'R, base' "Rscript --vanilla $PEERS/monte_carlo.R 1000000"
