#!/usr/bin/env bash
# One fuzz target for some seconds, from its kept corpus and past crashes: fuzz_one.sh TARGET SECONDS
set -euo pipefail
target=$1 seconds=$2
name=$(basename "$target")
work=build/asan/fuzz/work/$name
mkdir -p "$work/new" "$work/crashes"
seeds=()
for folder in "fuzz/corpus/$name" "tests/regressions/$name"; do
  [ -d "$folder" ] && seeds+=("$folder")
done
[ "$name" = deviations_fuzz ] && seeds+=(examples/tray_carrier/deviations)
if "$target" -max_total_time="$seconds" -rss_limit_mb=2048 -max_len=4096 -timeout=10 -print_final_stats=1 \
  -artifact_prefix="$work/crashes/" "$work/new" "${seeds[@]}" >"$work/log" 2>&1; then
  printf '%s: %s, no crash\n' "$name" "$(grep -h 'stat::number_of_executed_units' "$work/log" | sed 's/.*: */executions /')"
else
  printf '%s: CRASH, see %s\n' "$name" "$work"
  tail -30 "$work/log"
  exit 1
fi
