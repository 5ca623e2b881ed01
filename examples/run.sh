#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Installs what is missing, builds quarterturn into build/ and checks the first example, and writes its report.
#   bash examples/run.sh        from any folder; needs root or sudo only when a package is missing
set -euo pipefail
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/.."
. tests/support/install.sh

for option in "$@"; do
  case $option in
    -h | --help) sed -n '3,4s/^# \{0,1\}//p' examples/run.sh; exit 0 ;;
    *) echo "examples/run.sh: unknown option '$option' (there is only --help)" >&2; exit 2 ;;
  esac
done

install_packages "${BUILD_PACKAGES[@]}"

# One build folder for both commands: what tests/run.sh switched on stays on, a fresh folder builds no tests.
tests=$(cached QUARTERTURN_TESTS build)
configure release build "-DQUARTERTURN_TESTS=${tests:-OFF}"
build release quarterturn

readings=examples/readings/dock-first.csv station=examples/stations/dock.json
printf '\n$ quarterturn check %s --station %s\n' "$readings" "$station"
build/quarterturn check "$readings" --station "$station"
mkdir -p examples/out
build/quarterturn report "$readings" --station "$station" --no-log --output examples/out/dock-first.html
