#!/usr/bin/env python3
"""Programs that must not compile, and must be refused for the reason they name in their second line:

check_rejects.py SOURCE_ROOT FOLDER COMPILER [FLAG ...]

Every accepted*.cpp of the folder must compile, so that a broken header is not taken for a refusal."""
import pathlib
import re
import subprocess
import sys


def compile_messages(command: list[str], source: pathlib.Path) -> tuple[bool, str]:
    done = subprocess.run([*command, "-fsyntax-only", str(source)], capture_output=True, text=True)
    return done.returncode == 0, done.stderr


def problem_with(command: list[str], source: pathlib.Path) -> str:
    compiled, messages = compile_messages(command, source)
    if source.name.startswith("accepted"):
        return "" if compiled else "does not compile:\n" + messages
    said = re.search(r"^// Says: (.+)$", source.read_text(), re.MULTILINE)
    if said is None:
        return "has no line '// Says: ...'"
    if compiled:
        return "compiles"
    errors = [line for line in messages.splitlines() if "error:" in line]
    if not any(re.search(said[1], line) for line in errors):
        return f"is refused for another reason than '{said[1]}':\n" + "\n".join(errors)
    return ""


def main() -> int:
    root, folder, command = sys.argv[1], pathlib.Path(sys.argv[2]), sys.argv[3:]
    command = [*command, f"-I{root}", f"-I{folder}"]
    sources = sorted(folder.glob("*.cpp"))
    problems = {source.name: problem for source in sources if (problem := problem_with(command, source))}
    for name, problem in problems.items():
        print(f"{name} {problem}")
    print(f"{len(sources) - len(problems)} of {len(sources)} as they must be")
    return 1 if problems or len(sources) < 2 else 0


if __name__ == "__main__":
    sys.exit(main())
