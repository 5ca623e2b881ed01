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
say report bench-sheet tour --setup mitre
for test in rail turn-over; do say report bench-sheet dock --test $test; done
say report bench-sheet loft --test turn-over --form halves --unit in --output bench-sheet-halves.html
say report bench-sheet dock --unit in --output bench-sheet-inches.html
say report client-sheet dock/1
say report client-sheet "$examples/readings/dock-rail.csv" --station dock

# A hostile name and note must neither run nor spoil the page.
long=$(printf 'a-word-that-does-not-end-%.0s' {1..8})
sed -e 's|^# note:.*|# by: <script>alert(1)</script>\n# note: "><img src=x onerror=alert(2)> \& '"$long|" \
  "$examples/readings/dock-first.csv" >"$work/hostile.csv"
grep -q onerror "$work/hostile.csv"
say report "$work/hostile.csv" --no-log --station "$examples/stations/dock.json"

# What looks has to see: a page with one of each fault.
cat >"$work/card-bad.html" <<'PAGE'
<!DOCTYPE html><html lang="en"><head><meta name="viewport" content="width=device-width"></head><body style="background:#fff;color:#000">
<p>one two three four five six seven eight nine ten</p><p>eleven</p><p>twelve</p><p>thirteen</p><p>fourteen</p>
<img src="elsewhere.png" alt=""><script>console.log("said")</script><p style="color:#999">pale</p>
<p style="position:absolute;top:200px">lies under</p><p style="position:absolute;top:200px">lies over</p>
<div style="width:3000px;height:1400px">wide</div><svg width="100" height="20"><text x="90" y="15">sticks out</text></svg>
</body></html>
PAGE
if found=$(python3 "$look" "$work/card-bad.html"); then
  echo "look.py passes a page that is full of faults" >&2
  exit 1
fi
for fault in 'on the console' 'asks for' 'contrast 2' 'overlaps' 'px wide on 390' 'out of its drawing' 'pages, one hangs'; do
  case $found in
    *"$fault"*) ;;
    *) echo "look.py does not see: $fault" >&2; exit 1 ;;
  esac
done

keep=()
if [ $# -gt 1 ]; then
  mkdir -p "$2"
  keep=(--keep "$2")
fi
python3 "$look" "${keep[@]}" "$work"/pages/*.html
