#!/usr/bin/env python3
"""Prints how much of the ATmega2560 a firmware takes and fails beyond the limits: firmware_size.py AVR_SIZE ELF."""
import subprocess
import sys

# The chip's own sizes: ATmega640/1280/1281/2560/2561 data sheet, features.
FLASH_BYTES = 256 * 1024
RAM_BYTES = 8 * 1024

# The limits leave a team room for a program of its own, and its stack 3 KB.
FLASH_LIMIT = 48 * 1024
STATIC_LIMIT = RAM_BYTES - 3 * 1024


def main() -> int:
    size_command, elf = sys.argv[1], sys.argv[2]
    output = subprocess.run([size_command, elf], check=True, capture_output=True, text=True).stdout
    text, data, bss = (int(word) for word in output.splitlines()[1].split()[:3])
    flash, static = text + data, data + bss
    print(f"flash  {flash:6d} of {FLASH_BYTES} bytes, limit {FLASH_LIMIT}")
    print(f"static {static:6d} of {RAM_BYTES} bytes, limit {STATIC_LIMIT}; {RAM_BYTES - static} left for the stack")
    return 0 if flash <= FLASH_LIMIT and static <= STATIC_LIMIT else 1


if __name__ == "__main__":
    sys.exit(main())
