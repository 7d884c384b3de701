#!/usr/bin/env python3
"""Compiles every header alone, so that none leans on what happened to be included before it.

Usage: check_headers.py ROOT
"""
import concurrent.futures
import os
import pathlib
import subprocess
import sys

# Firmware headers need the controller's own compiler; the firmware build compiles them.
SKIP = ("agent/ports/avr_mega2560/",)


def compile_alone(root, header):
    command = ["g++", "-std=c++20", "-fsyntax-only", "-Wall", "-Wextra", "-Wpedantic", f'-DRINGOUT_SOURCE_DIR="{root}"',
               "-I", str(root / "src"), "-I", str(root), "-x", "c++", "-"]
    text = f'#include "{header}"\n#include "{header}"\n'
    done = subprocess.run(command, input=text, capture_output=True, text=True)
    return header, done.returncode, done.stderr


def main():
    root = pathlib.Path(sys.argv[1]).resolve()
    headers = [str(p.relative_to(root)) for top in ("wire", "agent", "src", "emulator") for p in (root / top).rglob("*")
               if p.suffix in (".h", ".hpp")]
    headers = sorted(h for h in headers if not h.startswith(SKIP))
    bad = 0
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        for header, status, text in pool.map(lambda h: compile_alone(root, h), headers):
            if status:
                bad += 1
                print(f"{header}:\n{text}")
    print(f"headers: {len(headers)} compiled alone, {bad} bad")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
