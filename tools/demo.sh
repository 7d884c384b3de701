#!/usr/bin/env bash
# The whole story of the demonstration robot, on the twin and then on the emulated controller: demo.sh BUILD_FOLDER
# Every step says what it is for, runs the command a person would type, and checks its exit status. The robot, its
# program and its fault are invented (examples/tray_carrier).
set -euo pipefail
ringout=$(realpath "$1")/src/cli/ringout
example=$(realpath "$(dirname "${BASH_SOURCE[0]}")/../examples/tray_carrier")
out=$PWD/out/demo

chapter() { printf '\n\n######## %s\n' "$*"; }
say() { printf '\n-- %s\n' "$*"; }

# step EXPECTED_STATUS ARGUMENT …: runs ringout with the arguments, in the team's folder.
step() {
  local expected=$1 status=0
  shift
  printf '\n$ ringout %s\n' "$*"
  "$ringout" "$@" || status=$?
  if [ "$status" -ne "$expected" ]; then
    printf '\ndemo: this step should have ended with status %s, and ended with %s\n' "$expected" "$status" >&2
    exit 1
  fi
}

# write_into POINT KEY VALUE: what a person does with an editor: one key in the table of one point.
write_into() {
  awk -v point="$1" -v key="$2" -v value="$3" '
    /^\[\[/ { here = 0 }
    $0 ~ "^name *= *\"" point "\"" { here = 1 }
    here && $0 ~ "^" key " *=" { sub(/"[^"]*"/, "\"" value "\""); here = 0 }
    { print }' robot.toml >robot.new
  mv robot.new robot.toml
}

story() {
  local on=$1 target=$2
  local link=$on:as_built/deviations/connector_repair.toml
  rm -rf "$out/$on"
  mkdir -p "$out/$on"
  cd "$out/$on"
  cp "$example/robot.toml" "$example/program.cpp" .
  cp -r "$example" as_built  # the simulated robot as it really is, whatever the team's file says

  say "The team builds its program against names; where things are plugged in is not in it."
  step 0 build robot.toml program.cpp --for "$target"

  say "The point table of the robot file, as the team believes the wiring to be, is on the controller."
  step 0 load robot.toml --on "$link" --acknowledge

  say "Power on, in order: is this the right controller, with the right firmware, program and point table?"
  step 0 ready robot.toml --on "$link" --acknowledge

  say "All is well, so the program is tried. Nothing is proved yet, so each output moves a little only - and the clamp not at all."
  step 0 run robot.toml --on "$link" --acknowledge

  if [ "$on" = twin ]; then
    say "The clamp does nothing. Which of a dozen causes is it? The next best check, one at a time, by chance and cost."
    say "Nobody real sits here, so the case ends where somebody would have to put the leads right; it is kept."
    step 1 find robot.toml --on "$link" --acknowledge --trouble clamp=nothing
  fi

  say "Before anybody suspects anybody: prove every point. Each output is bumped a little; all sensors are watched."
  step 1 prove robot.toml --on "$link" --acknowledge

  say "Two pairs are exchanged: clamp and mist pump, and the lift's end switches, before the lift has travelled."
  say "The team decides that the wiring stays as it is, and corrects the robot file that all three read:"
  cp robot.toml robot.before
  write_into clamp port OUT6
  write_into mist_pump port OUT4
  write_into lift_bottom port SW2
  write_into lift_top port SW1
  diff -U0 robot.before robot.toml | grep '^[-+][^-+]' || true
  step 0 check robot.toml

  say "The new point table goes to the controller: seconds, and no compiler."
  step 0 load robot.toml --on "$link" --acknowledge

  say "Proved again: drawn, coded and found agree."
  step 0 prove robot.toml --on "$link" --acknowledge

  say "What is proved may move by its own limits now, so the table is loaded once more; then the program runs to its end."
  step 0 load robot.toml --on "$link" --acknowledge
  step 0 run robot.toml --on "$link" --acknowledge
  cd - >/dev/null
}

started=$(date +%s)
printf 'The tray carrier (invented): two drives, a lift, a clamp, a belt, a mist pump and a lamp.\n'
printf 'Its robot file is examples/tray_carrier/robot.toml; after a connector repair it no longer says what is true.\n'
chapter "On the twin: the real agent code on a simulated robot"
story twin twin
chapter "On the emulated controller: the real firmware binary on an emulated ATmega2560, pins wired to the same robot"
story emulated atmega2560
printf '\n\nBoth stories ended as they should, in %s s. On a serial port the same commands take --on /dev/ttyUSB0 (docs/commands.md).\n' \
  "$(($(date +%s) - started))"
