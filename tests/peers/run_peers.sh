#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Runs the peers again and holds the result against what is kept: the data byte for byte, each value to 1e-7
# relative (nlme to 1e-5, which is what its own stopping rule leaves).
# Needs r-base-core r-cran-lme4 r-cran-nlme r-cran-pbkrtest (numDeriv comes with pbkrtest), r-cran-metafor r-cran-strucchange r-cran-mass.
#   run_peers.sh           compare
#   run_peers.sh --keep    write what is kept anew
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")"
export LC_ALL=C

if [[ ${1:-} == --keep ]]; then
  Rscript make_data.R data
  Rscript reml_peers.R reml_peers.csv > reml_peers_versions.txt
  Rscript history_peers.R history_data history_peers.csv > history_peers_versions.txt
  Rscript survey_peers.R survey_data/grid.csv survey_peers.csv > survey_peers_versions.txt
  exit 0
fi

fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT

# compare KEPT.csv FRESH.csv: rows of set, quantity, value, peer
compare() {
  awk -F, '
    NR == FNR { if (FNR > 1) kept[$1 "," $2 "," $4] = $3; next }
    FNR > 1 {
      key = $1 "," $2 "," $4
      if (!(key in kept)) { print "not kept: " key; bad = 1; next }
      error = $3 - kept[key]; if (error < 0) error = -error
      size = kept[key] < 0 ? -kept[key] : kept[key]
      if (error > ($4 == "nlme" ? 1e-5 : 1e-7) * size) { print key ": kept " kept[key] ", now " $3; bad = 1 }
      delete kept[key]
      n++
    }
    END {
      for (key in kept) { print "no longer computed: " key; bad = 1 }
      if (n == 0) { print "nothing was computed"; bad = 1 }
      if (!bad) print n " values agree with those kept"
      exit bad
    }' "$1" "$2"
}

mkdir "$fresh/data" "$fresh/history_data"
Rscript make_data.R "$fresh/data"
diff -r data "$fresh/data"
Rscript reml_peers.R "$fresh/reml_peers.csv"
compare reml_peers.csv "$fresh/reml_peers.csv"
Rscript history_peers.R "$fresh/history_data" "$fresh/history_peers.csv"
diff -r history_data "$fresh/history_data"
compare history_peers.csv "$fresh/history_peers.csv"
Rscript survey_peers.R survey_data/grid.csv "$fresh/survey_peers.csv"
compare survey_peers.csv "$fresh/survey_peers.csv"
