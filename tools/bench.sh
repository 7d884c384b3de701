#!/usr/bin/env bash
# Measures what bench/README.md states: bench.sh BUILD_FOLDER. Ends with 1 where a target is missed.
set -euo pipefail
build=$1 status=0

say() { printf '\n== %s\n' "$*"; }

cmake --build "$build" --target ringout_twin_bench ringout_emulated_bench ringout_link_bench ringout_desk_bench \
  ringout_find_bench ringout ringout_firmware ringout-emulated >/dev/null
printf '%s, %s cores, %s\n' "$(sed -n 's/^model name[^:]*: //p' /proc/cpuinfo | head -1)" "$(nproc)" "$(g++ --version | head -1)"

say "twin: simulated seconds a second, on one core"
"$build/bench/ringout_twin_bench" || status=1

say "emulated chip: times real time"
"$build/bench/ringout_emulated_bench" "$build/emulator/selfcheck.elf" "$build/firmware/tray_carrier.elf" || status=1

say "link at 1 Mbaud on the emulated chip, on the controller's clock"
"$build/bench/ringout_link_bench" examples/tray_carrier/robot.toml data "$build/firmware/tray_carrier.elf" \
  "$build/emulator/ringout-emulated" || status=1

say "desk check: growth with the robot's size, and the spread from tolerances"
"$build/bench/ringout_desk_bench" || status=1

say "fault finding: cost against the optimum, and the time of the next check on large machines"
"$build/bench/ringout_find_bench" || status=1

say "check of the demonstration robot: processor time of the whole process, 20 runs"
python3 - "$build/src/cli/ringout" <<'PY' || status=1
import os, subprocess, sys
times = []
for _ in range(20):
    before = os.times()
    subprocess.run([sys.argv[1], "check", "examples/tray_carrier/robot.toml"], stdout=subprocess.DEVNULL, check=True)
    after = os.times()
    times.append(1000 * (after.children_user + after.children_system - before.children_user - before.children_system))
times.sort()
print(f"median {times[10]:.0f} ms, longest {times[-1]:.0f} ms (wanted: below 30; the clock counts in 10 ms)")
sys.exit(times[10] >= 30)
PY
exit $status
