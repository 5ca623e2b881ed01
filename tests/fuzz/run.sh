#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Runs fuzz targets: replays what is kept of each, then lets it look for more. What stops one is left beside its build.
#   tests/fuzz/run.sh BUILD TARGET|all SECONDS [RUNS]
#     SECONDS  of processor time a target is given; 0: only what is kept is replayed
#     RUNS     stops earlier after so many inputs
# Two targets run at once where there are two processors. What is found that is new stays in BUILD/fuzz/TARGET.
set -euo pipefail
[ $# -ge 3 ] || { sed -n '4,7s/^# \{0,1\}//p' "${BASH_SOURCE[0]}" >&2; exit 2; }
build=$(realpath "$1") which=$2 seconds=$3 runs=${4:--1}
CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.."
root=$PWD

declare -A most=([numbers]=200 [readings]=4000 [station]=4000 [observations]=4000 [exchange]=12000 [prompt]=2000 [check]=4000)
declare -A examples=([readings]="$root/examples/readings $root/examples/logs" [station]="$root/examples/stations" [observations]="$root/examples/surveys")
targets=("$which")
[ "$which" != all ] || mapfile -t targets < <(printf '%s\n' "${!most[@]}" | sort)

# once TARGET SECONDS RUNS: in a folder of its own; absolute paths, as some targets go elsewhere.
once() {
  local name=$1 found=$build/fuzz/$1
  mkdir -p "$found"
  local -a kept=("$root/tests/fuzz/corpus/$name")
  # shellcheck disable=SC2206
  kept+=(${examples[$name]:-})
  # Beyond what it is given, it is stopped by its processor time: on a busy machine one input may take long.
  local limit=$(($2 == 0 ? 600 : $2))
  local -a clock=()
  [ "$2" = 0 ] || clock=("-max_total_time=$2")
  ulimit -t $((limit + 180))
  cd "$build/fuzz"
  exec timeout -k 10 $((limit * 20 + 300)) "$build/fuzz_$name" -seed="$seed" "-max_len=${most[$name]}" -timeout=120 \
    -rss_limit_mb=3000 "-runs=$3" "${clock[@]}" -print_final_stats=1 -verbosity=1 \
    "-artifact_prefix=$build/fuzz/$name-" "$found" "${kept[@]}"
}

# stat LOG NAME: what a statistic comes to over all rounds of a log.
stat() { awk -v name="stat::$2:" '$1 == name { sum += $2 } END { printf "%.0f", sum }' "$1"; }

# run TARGET: the fuzzer stops by the clock, so it goes on in rounds until its processor time is spent.
run() {
  local name=$1 seed=1 left=$seconds log=$build/fuzz/$1.log spent=$build/fuzz/$1.spent inputs=0 used=0 status=0
  mkdir -p "$build/fuzz"
  : >"$log"
  while :; do
    local most_runs=$((seconds == 0 ? 0 : runs < 0 ? -1 : runs - inputs))
    (once "$name" "$left" "$most_runs") >>"$log" 2>&1 || status=$?
    LC_ALL=C times >"$spent"
    if [ $status -ne 0 ]; then
      echo "fuzz $name: stopped with status $status; the last of $log:"
      grep -aE 'does not hold|ERROR|runtime error|SUMMARY|Test unit' "$log" | head -n 20
      return 1
    fi
    used=$(tail -n 1 "$spent" | awk -F '[ms ]' '{ printf "%.0f", $1 * 60 + $2 + $4 * 60 + $5 }')
    inputs=$(stat "$log" number_of_executed_units) left=$((seconds - used)) seed=$((seed + 1))
    if [ $((left * 20)) -le "$seconds" ] || { [ "$runs" -ge 0 ] && [ "$inputs" -ge "$runs" ]; }; then break; fi
  done
  printf 'fuzz %-13s %10s inputs, %5s s, %6s places of the code reached, %5s MB\n' "$name" "$inputs" "$used" \
    "$(grep -aoE 'cov: [0-9]+' "$log" | tail -n 1 | cut -c6-)" "$(sed -n 's/^stat::peak_rss_mb: *//p' "$log" | sort -n | tail -n 1)"
}

bad=0
for ((i = 0; i < ${#targets[@]}; i += 2)); do
  run "${targets[i]}" & first=$!
  if [ $((i + 1)) -lt ${#targets[@]} ]; then run "${targets[i + 1]}" & second=$!; wait "$second" || bad=1; fi
  wait "$first" || bad=1
done
exit $bad
