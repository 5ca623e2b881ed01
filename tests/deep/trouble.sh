#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# 100 programs keep 100 checks each in one log at once, with a prompt and an import among them; a disk of 256 kB that fills.
# Figures go into DEVELOPERS.md. The disk needs the right to mount; without it that part is left out, and says so.
#   bash tests/run.sh --deep trouble [WRITERS] [EACH]
set -euo pipefail

folder=$(mktemp -d)
trap 'umount "$folder" 2>/dev/null || true; rmdir "$folder" 2>/dev/null || true' EXIT

readings() {
  printf '# station: dock\n# date: 2026-03-14\n# caliper: digital\n# panel-size: 600 x 600\n# note: %s\n' "$1"
  printf 'panel,from_cut,to_cut,position,width\n1,1,5,0,22.%02d\n1,1,5,525,22.%02d\n' $(($1 % 100)) $(($1 / 100))
}

# save N: 0 when it was kept, 4 when there was no room; anything else is wrong.
save() {
  local status=0
  readings "$1" | build/quarterturn check - --save --log "$folder/log.db" >/dev/null 2>"$folder.said" || status=$?
  if [ $status -ne 0 ] && { [ $status -ne 4 ] || ! grep -q 'cannot be' "$folder.said"; }; then
    echo "full disk: status $status: $(cat "$folder.said")" >&2
    exit 1
  fi
  return $status
}

is_whole() {
  build/quarterturn log verify --log "$folder/log.db" >"$folder.said" 2>&1 || { cat "$folder.said" >&2; exit 1; }
  local kept
  kept=$(build/quarterturn log export --log "$folder/log.db" | grep -c '# note: ')
  [ "$kept" = "$1" ] || { echo "full disk: $kept checks are there, $1 were kept" >&2; exit 1; }
}

full_disk() {
  if ! mount -t tmpfs -o size=256k none "$folder" 2>/dev/null; then
    echo 'A disk that fills is left out: nothing may be mounted here.'
    return
  fi
  build/quarterturn station add examples/stations/dock.json --log "$folder/log.db" >/dev/null
  # Room for a handful of checks and the journal of the last one.
  local kept=0 refused=0 n
  dd if=/dev/zero of="$folder/most" bs=1k count=$(($(df --output=avail -k "$folder" | tail -n 1) - 40)) 2>/dev/null
  for ((n = 1; refused < 2 && n < 2000; ++n)); do
    if save $n; then kept=$((kept + 1)); else refused=$((refused + 1)); is_whole $kept; fi
  done
  [ $refused -eq 2 ] || { echo 'full disk: it never was full' >&2; exit 1; }
  local full=$kept
  # Not a byte is left; then there is room again.
  dd if=/dev/zero of="$folder/filler" bs=1k 2>/dev/null || true
  if save 3000; then echo 'full disk: kept without room' >&2; exit 1; fi
  is_whole $kept
  rm "$folder/filler"
  mount -o remount,size=2m "$folder"
  save 3001
  is_whole $((kept + 1))
  rm -f "$folder.said"
  echo "A disk of 256 kB: $full checks kept until it was full, 3 refused with status 4, the log whole each time, one more kept once there was room."
}

full_disk
QUARTERTURN_WRITERS=${1:-100} QUARTERTURN_EACH=${2:-100} build/quarterturn_tests --test-suite=terminal --test-case='many programs keep checks*'
