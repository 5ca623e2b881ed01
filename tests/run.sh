#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Installs what is missing, builds quarterturn and its tests into build/ and runs them; ctest's summary comes last.
#   bash tests/run.sh [--slow] [--peers] [--browser]        from any folder; needs root or sudo only when a package is missing
#     --slow     coverage cells with 20,000 simulated checks each instead of 2,000 (hours, not minutes), and each
#                public header compiled alone
#     --peers    also runs the scripts of tests/peers again and holds their results against ours and those kept there
#     --browser  also has a headless Chromium look at every report of the examples, on screens and on paper
set -euo pipefail
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/.."
. tests/support/install.sh

slow=no peers=no browser=no
for option in "$@"; do
  case $option in
    --slow) slow=yes ;;
    --peers) peers=yes ;;
    --browser) browser=yes ;;
    -h | --help) sed -n '3,8s/^# \{0,1\}//p' tests/run.sh; exit 0 ;;
    *) echo "tests/run.sh: unknown option '$option' (there are --slow, --peers, --browser, --help)" >&2; exit 2 ;;
  esac
done

packages=("${BUILD_PACKAGES[@]}" "${TEST_PACKAGES[@]}")
[ $peers = no ] || packages+=("${PEERS_PACKAGES[@]}")
[ $browser = no ] || packages+=("${BROWSER_PACKAGES[@]}")
install_packages "${packages[@]}"

configure release build -DQUARTERTURN_TESTS=ON -DQUARTERTURN_COVERAGE_CELLS=ON
build release

# Tests neither see nor touch what the person keeps.
unset QUARTERTURN_LOG QUARTERTURN_TRIALS NO_COLOR
rm -rf build/home
mkdir -p build/home
export XDG_DATA_HOME=$PWD/build/home

if [ $peers = yes ]; then
  bash tests/peers/run_peers.sh </dev/null
  python3 tests/peers/schemas.py build/quarterturn
fi
[ $browser = no ] || bash tests/browser/run.sh build/quarterturn </dev/null

timeout=600
if [ $slow = yes ]; then
  export QUARTERTURN_TRIALS=20000
  timeout=43200
  bash tests/install/install.sh "$PWD/build" "${CXX:-c++}" --each-header
fi
ctest --test-dir build --output-on-failure --no-tests=error --parallel "$(jobs_at_once)" --timeout $timeout
