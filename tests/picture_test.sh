#!/usr/bin/env bash
# The picture in the README is what `ringout draw` draws today: picture_test.sh RINGOUT SOURCE_ROOT
set -euo pipefail
work=$(mktemp -d)
trap 'rm -r "$work"' EXIT
cp "$2/examples/tray_carrier/robot.toml" "$work"
"$1" draw "$work/robot.toml" --out "$work/tray_carrier" --date 2026-11-25 >/dev/null
if ! cmp "$work/tray_carrier.svg" "$2/docs/pictures/tray_carrier.svg"; then
  echo "draw it anew: ringout draw examples/tray_carrier/robot.toml --out docs/pictures/tray_carrier --date 2026-11-25 (and keep only the SVG)"
  exit 1
fi
