#!/usr/bin/env python3
"""Checks that no two files define a type of one name in one namespace: the linker would take either for both, in silence.

Types of an unnamed namespace are a file's own and may share their names. Prints each pair and ends with 1 where there is one.
Usage: check_types.py ROOT
"""
import pathlib
import re
import sys

NAMESPACE = re.compile(r"^(?:inline )?namespace(?: ([\w:]+))? \{")
TYPE = re.compile(r"^(?:template <.*> ?)?(?:struct|class|union|enum(?: class)?) (?:alignas\(\w+\) )?(\w+)(?![\w:<])[^;(]*(?:\{|$)")


def types(text):
    """(qualified name, line number) of each type that the text defines at the outer level of a named namespace."""
    open_namespaces = []
    for number, line in enumerate(text.splitlines(), 1):
        if match := NAMESPACE.match(line):
            open_namespaces.append(match[1])
        elif line.startswith("}  // namespace"):
            open_namespaces.pop()
        elif None not in open_namespaces and (match := TYPE.match(line)):
            yield "::".join([*open_namespaces, match[1]]), number


def self_test():
    text = ("namespace a::b {\nnamespace {\nstruct Own {\n};\n}  // namespace\nstruct Shown {\n};\nstruct Declared;\n"
            "enum class Kind : int { one };\nstruct Derived : Shown {\n};\nShown made(struct Declared*);\n}  // namespace a::b\n")
    assert list(types(text)) == [("a::b::Shown", 6), ("a::b::Kind", 9), ("a::b::Derived", 10)], list(types(text))


def main():
    self_test()
    root = pathlib.Path(sys.argv[1])
    seen, bad = {}, 0
    for top in ("wire", "agent", "src", "emulator"):
        for path in sorted((root / top).rglob("*")):
            # Firmware is a program of its own.
            if path.suffix not in (".h", ".hpp", ".cpp") or "ports/avr" in str(path):
                continue
            for name, number in types(path.read_text()):
                here = f"{path.relative_to(root)}:{number}"
                if name in seen:
                    bad += 1
                    print(f"{here}: {name} is defined in {seen[name]} too")
                seen.setdefault(name, here)
    print(f"types: {len(seen)} defined, {bad} twice")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
