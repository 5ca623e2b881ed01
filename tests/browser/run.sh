#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Makes every report of the examples and has a browser look at each (look.py).
#   tests/browser/run.sh PROGRAM [FOLDER]        FOLDER keeps the pages, pictures and PDFs
set -euo pipefail
program=$(realpath "$1")
examples=$(realpath "$(dirname -- "${BASH_SOURCE[0]}")/../../examples")
look=$(realpath "$(dirname -- "${BASH_SOURCE[0]}")/look.py")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir "$work/pages"
export QUARTERTURN_LOG=$work/log.db
cd "$work/pages"

say() { "$program" "$@" >/dev/null; }
for station in dock loft tour; do say station add "$examples/stations/$station.json"; done
say log import "$examples"/logs/dock-year/*.csv "$examples/logs/events.csv"
say log import "$examples"/logs/loft-seasons/*.csv

for check in dock/1 dock/2 dock/3 dock/4 dock/5 loft/1 loft/9; do say report "$check"; done
say report dock/1 dock/2 dock/3
say report dock
say report loft
for readings in "$examples"/readings/*; do
  name=$(basename "$readings")
  setup=crosscut
  [ "$name" != tour-frame.csv ] || setup=mitre
  say report "$readings" --no-log --station "$examples/stations/${name%%-*}.json" --setup "$setup"
done
for station in dock loft tour; do
  say report card "$station" --setup crosscut
  say report bench-sheet "$station" --setup crosscut
done
say report card tour --setup mitre --output card-tour-mitre.html
say report bench-sheet dock --unit in --output bench-sheet-inches.html
say report client-sheet dock/1
say report client-sheet "$examples/readings/dock-rail.csv" --station dock

# A hostile name and note must neither run nor spoil the page.
sed -e 's/# date:.*/&\n# by: <script>alert(1)<\/script>\n# note: "><img src=x onerror=alert(2)> & a-very-long-word-that-does-not-end-and-does-not-end-and-does-not-end-and-does-not-end/' \
  "$examples/readings/dock-first.csv" >"$work/hostile.csv"
say report "$work/hostile.csv" --no-log --station "$examples/stations/dock.json"

keep=()
if [ $# -gt 1 ]; then
  mkdir -p "$2"
  keep=(--keep "$2")
fi
python3 "$look" "${keep[@]}" "$work"/pages/*.html
