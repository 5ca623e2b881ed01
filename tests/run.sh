#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Installs what is missing, builds quarterturn and its tests into build/ and runs them; ctest's summary comes last.
#   bash tests/run.sh [--slow] [--peers] [--browser]        from any folder; needs root or sudo only when a package is missing
#   bash tests/run.sh --deep PART [ARGUMENT]...             one long job, by hand, in place of the tests (--deep list names them)
#     --slow     coverage cells with 20,000 simulated checks each instead of 2,000 (hours, not minutes), and each
#                public header compiled alone
#     --peers    also runs the scripts of tests/peers again and holds their results against ours and those kept there
#     --browser  also has a headless Chromium look at every report of the examples, on screens and on paper
#     --deep     runs tests/deep/PART.sh with what stands behind PART; the head of that file says what it does and what it takes
set -euo pipefail
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/.."
. tests/support/install.sh

# Tests neither see nor touch what the person keeps.
unset QUARTERTURN_LOG QUARTERTURN_TRIALS NO_COLOR

# each_part: one line a long job, its name and the third line of its file, which says what it is.
each_part() {
  local file
  for file in tests/deep/*.sh; do
    printf '  %-10s %s\n' "$(basename "$file" .sh)" "$(sed -n '3s/^# //p' "$file")"
  done
}

# deep PART [ARGUMENT]...: a file of tests/deep is a part; nothing else has to know of it.
deep() {
  local part=${1:-list} start=$SECONDS
  shift || true
  case $part in
    list) each_part; exit 0 ;;
    -h | --help) echo 'tests/run.sh --deep PART [ARGUMENT]...; the parts:'; each_part; exit 0 ;;
    */* | .*) ;;
    *)
      if [ -e "tests/deep/$part.sh" ]; then
        case ${1:-} in -h | --help) sed -n '3,/^[^#]/s/^# \{0,1\}//p' "tests/deep/$part.sh"; exit 0 ;; esac
        bash "tests/deep/$part.sh" "$@" </dev/null
        echo "=== deep $part: $((SECONDS - start)) s"
        exit 0
      fi
      ;;
  esac
  { echo "tests/run.sh: there is no deep part '$part'. There are:"; each_part; } >&2
  exit 2
}

slow=no peers=no browser=no
while [ $# -gt 0 ]; do
  case $1 in
    --slow) slow=yes ;;
    --peers) peers=yes ;;
    --browser) browser=yes ;;
    --deep) shift; deep "$@" ;;
    -h | --help) sed -n '3,10s/^# \{0,1\}//p' tests/run.sh; exit 0 ;;
    *) echo "tests/run.sh: unknown option '$1' (there are --slow, --peers, --browser, --deep, --help)" >&2; exit 2 ;;
  esac
  shift
done

packages=("${BUILD_PACKAGES[@]}" "${TEST_PACKAGES[@]}")
[ $peers = no ] || packages+=("${PEERS_PACKAGES[@]}")
[ $browser = no ] || packages+=("${BROWSER_PACKAGES[@]}")
install_packages "${packages[@]}"

configure release build -DQUARTERTURN_TESTS=ON -DQUARTERTURN_COVERAGE_CELLS=ON
build release

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
