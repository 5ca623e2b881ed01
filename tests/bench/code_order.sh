#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Which functions a check and the other short words run, by callgrind: writes data/package/code_order.ld, by which the
# linker puts them side by side. Of a Release build; link again behind it. An order that is old costs time, nothing else.
#   bash tests/bench/code_order.sh BUILD
set -euo pipefail
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.."
exec </dev/null
. tests/support/install.sh
install_packages "${GUARD_PACKAGES[@]}" python3
build=$(realpath "${1:-build}")
program=$build/quarterturn
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# The same link once more, with a map of which section lies where.
link=$(ninja -C "$build" -t commands quarterturn | tail -n 1)
(cd "$build" && eval "${link/-o quarterturn /-o $work/program -Wl,-Map,$work/map }") 2>"$work/linked" || { cat "$work/linked" >&2; exit 1; }

# ran NAME WORD...: what the words run, into $work/NAME; the log is one of its own.
ran() {
  local name=$1
  shift
  env -i PATH="$PATH" HOME="$work" LC_ALL=C.UTF-8 valgrind --tool=callgrind --demangle=no --callgrind-out-file="$work/$name" \
    "$work/program" --log "$work/log.db" "$@" >"$work/stdout" 2>"$work/stderr" || { cat "$work/stderr" >&2; return 1; }
}
ran 1 check examples/readings/dock-long.csv
ran 2 station add examples/stations/dock.json
ran 3 check examples/readings/dock-progressive.csv --save
ran 4 check examples/readings/dock-first.csv
ran 5 history
ran 6 log list
PYTHONDONTWRITEBYTECODE=1 python3 tests/bench/code_order.py "$work/program" "$work/map" "$work"/[1-6] >"$work/order"
mv "$work/order" data/package/code_order.ld
