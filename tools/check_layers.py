#!/usr/bin/env python3
"""Checks that every include obeys layers.txt. Prints each offence as file:line and ends with 1 where there is one.

Usage: check_layers.py ROOT
"""
import pathlib
import re
import sys

INCLUDE = re.compile(r'^\s*#\s*include\s*"([^"]+)"')
SUFFIXES = {".h", ".hpp", ".cpp", ".c"}


def read_rules(text):
    rules = {}
    for line in text.splitlines():
        line = line.split("#")[0].strip()
        if line:
            part, allowed = line.split(":")
            rules[part.strip()] = allowed.split()
    return rules


def part_of(rules, pieces):
    """The part that a path, split below the root or src/, belongs to: the innermost folder that has a rule."""
    if len(pieces) > 2 and "/".join(pieces[:2]) in rules:
        return "/".join(pieces[:2])
    return pieces[0]


def offences(rules, path, text):
    """(line number, what) for each include of `text`, standing at `path`, that its part may not have."""
    part = part_of(rules, path.parts[1:] if path.parts[0] == "src" else path.parts)
    allowed = rules.get(part)
    if allowed is None:
        return [(1, f"part '{part}' is not in layers.txt")]
    found = []
    for number, line in enumerate(text.splitlines(), 1):
        match = INCLUDE.match(line)
        if not match or "/" not in match[1]:
            continue
        target = part_of(rules, match[1].split("/"))
        if target not in rules or target == part or "*" in allowed:
            continue
        if target not in allowed and match[1] not in allowed:
            found.append((number, f"{part} may not include {match[1]}"))
    return found


def sources(root):
    for top in ("wire", "agent", "src", "emulator"):
        for path in sorted((root / top).rglob("*")):
            # A test may use what it tests its part with (the twin, the demonstration robot).
            if path.suffix in SUFFIXES and not path.stem.endswith("_test") and path.stem != "testing":
                yield path


def self_test():
    rules = read_rules("a:\nb: a\nc: b/one.h # comment\n")
    assert offences(rules, pathlib.Path("src/b/x.h"), '#include "a/y.h"\n') == []
    assert offences(rules, pathlib.Path("src/a/x.h"), '\n#include "b/y.h"\n') == [(2, "a may not include b/y.h")]
    assert offences(rules, pathlib.Path("c/x.h"), '#include "b/one.h"\n#include "b/two.h"\n')[0][0] == 2
    assert offences(rules, pathlib.Path("src/d/x.h"), "")[0][1].startswith("part 'd'")
    nested = read_rules("a:\na/b: a\n")
    assert offences(nested, pathlib.Path("src/a/b/x.h"), '#include "a/y.h"\n#include "a/b/z.h"\n') == []
    assert offences(nested, pathlib.Path("src/a/y.h"), '#include "a/b/x.h"\n') == [(1, "a may not include a/b/x.h")]


def main():
    self_test()
    root = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ".")
    rules = read_rules((root / "layers.txt").read_text())
    bad = 0
    for path in sources(root):
        for number, what in offences(rules, path.relative_to(root), path.read_text(errors="replace")):
            print(f"{path.relative_to(root)}:{number}: {what}")
            bad += 1
    print(f"layers: {bad} offences")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
