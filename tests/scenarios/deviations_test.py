#!/usr/bin/python3
"""One row for every kind of deviation: what the commands must answer about the demonstration robot (invented).

deviations_test.py RINGOUT SOURCE_ROOT [twin|emulated] [ROW ...]

Expectations are written from what each deviation is. What a row does not name must come out as drawn: no point may be
blamed for another one's fault. The last line says how many rows passed and failed.
"""
import json
import pathlib
import shutil
import subprocess
import sys
import tempfile

import jsonschema

sys.dont_write_bytecode = True  # the source tree stays as it is
from deviations_rows import ROWS, drawn_points

RINGOUT = pathlib.Path(sys.argv[1]).resolve()
ROOT = pathlib.Path(sys.argv[2]).resolve()
LINK = sys.argv[3] if len(sys.argv) > 3 else "twin"
ONLY = sys.argv[4:]
SURE = 0.9  # below this the tool itself says that an answer was not clear
# A point that nothing was seen of may be left out of the findings.
UNTESTED = {"condition": "untested", "found_port": None, "sign": "unknown", "strength": 0, "confidence": 0,
            "person_looked": False, "evidence": "no finding"}
SCHEMAS = {path.stem: json.loads(path.read_text()) for path in (ROOT / "docs" / "schema").glob("*.json")}


class Bench:
    """The team's folder, with the robot as it really is beside it, whatever the team's file says."""

    def __init__(self, folder, row, firmware):
        self.folder = folder
        example = ROOT / "examples" / "tray_carrier"
        kept_out = shutil.ignore_patterns(".ringout", "generated", "found.json", "out")
        shutil.copytree(example, folder / "as_built", ignore=kept_out)
        for name in ("robot.toml", "program.cpp"):
            shutil.copy(example / name, folder)
        if firmware:
            shutil.copytree(firmware, folder / "generated")
        self.on = ["--on", f"{LINK}:as_built/deviations/{row.name}.toml"]
        self.wrong = []

    def check(self, right, what):
        if not right:
            self.wrong.append(what)
        return right

    def same(self, what, got, wanted):
        self.check(got == wanted, f"{what} is {got!r}, should be {wanted!r}")

    def says(self, what, text, words):
        for word in words:
            self.check(word in text, f"{what} should say {word!r}, says {text!r}")

    def run(self, command, status):
        return self.run_words([command, "robot.toml", *self.on, "--acknowledge", "--json"], status)

    def run_words(self, words, status):
        command = words[0]
        done = subprocess.run([RINGOUT, *words], cwd=self.folder, stdin=subprocess.DEVNULL, capture_output=True, text=True,
                              timeout=1200, check=False)
        self.same(f"{command}: exit status", done.returncode, status)
        try:
            document = json.loads(done.stdout)
            jsonschema.validate(document, SCHEMAS[command])
        except (ValueError, jsonschema.ValidationError) as problem:
            self.wrong.append(f"{command}: no document of its schema: {problem}; {done.stderr.strip()}")
            return None
        self.same(f"{command}: exit_status in the document", document["exit_status"], done.returncode)
        return document


def judge_ready(bench, wanted):
    document = bench.run("ready", 1 if wanted.bad else 0)
    if not document or not bench.check(document["result"], f"ready came to no result: {document['error']}"):
        return
    result = document["result"]
    bench.same("ready: go", result["go"], not wanted.bad)
    stopped = False
    for step in result["steps"]:
        name = f"ready: step {step['id']}"
        if step["id"] in wanted.bad:
            expected = wanted.bad[step["id"]]
            bench.same(name, step["verdict"], "bad")
            bench.says(f"{name}: reading", step["reading"], expected.reading)
            bench.says(f"{name}: remedy", step["remedy"], expected.remedy)
            for word in expected.not_in_reading:
                bench.check(word not in step["reading"], f"{name} blames {word}: {step['reading']!r}")
        elif stopped and step["id"] in ("disconnect", "load"):  # nothing moves while something above is bad
            bench.same(name, step["verdict"], "not done")
        else:
            bench.check(step["verdict"] == "good", f"{name} is {step['verdict']}: {step['reading']!r}")
        stopped = stopped or step["verdict"] == "bad"
    seen = [step["id"] for step in result["steps"]]
    bench.same("ready: steps", seen,
               ["link", "supply", "identity", "firmware", "program", "table", "inputs", "disconnect", "load"])


def judge_point(bench, row, finding, wanted):
    name = row["point"]
    finding = finding or UNTESTED
    told = f"({finding['condition']}, confidence {finding['confidence']:.2f}, strength {finding['strength']:.2f}: " \
           f"{finding['evidence']})"
    for what, got, expected in (("verdict", row["verdict"], wanted.verdict), ("drawn", row["drawn"], wanted.drawn),
                                ("coded", row["coded"], wanted.drawn), ("found", row["found"], wanted.found),
                                ("settled by", row["settled_by"], wanted.settled_by),
                                ("person", row["person"], wanted.person),
                                ("condition", finding["condition"], wanted.condition),
                                ("found port", finding["found_port"], wanted.found_port),
                                ("sign", finding["sign"], wanted.sign)):
        bench.check(got == expected, f"{name}: {what} is {got!r}, should be {expected!r} {told}")
    bench.says(f"{name}: what to do", row["what_to_do"], wanted.what_to_do)
    if wanted.verdict == "proved":
        bench.same(f"{name}: what to do", row["what_to_do"], "")
    if wanted.condition != "untested":
        sure = finding["confidence"] >= SURE
        bench.check(sure == wanted.sure, f"{name}: {'sure' if sure else 'not sure'} of it {told}")
    if wanted.person_looked:
        bench.check(finding["person_looked"], f"{name}: no sensor can tell, and nobody was asked {told}")


def judge_prove(bench, wanted):
    document = bench.run("prove", 1 if wanted.points else 0)
    if not document or not bench.check(document["result"], f"prove came to no result: {document['error']}"):
        return
    result = document["result"]
    points = drawn_points(ROOT, wanted)
    bench.same("prove: ready", result["ready"], not wanted.points)
    bench.same("prove: points", [row["point"] for row in result["agreement"]], list(points))
    findings = {finding["point"]: finding for finding in result["findings"]}
    bench.check(set(findings) <= set(points), f"prove: finds what is not drawn: {sorted(set(findings) - set(points))}")
    for row in result["agreement"]:
        if row["point"] in points:
            judge_point(bench, row, findings.get(row["point"]), points[row["point"]])
    corrections = {(c["point"], c["key"], c["value"]) for c in result["corrections"]}
    bench.same("prove: corrections", sorted(corrections), sorted(wanted.corrections))
    again = bench.run_words(["prove", "robot.toml", "--replay", result["capture"], "--json"], document["exit_status"])
    if again and bench.check(again["result"], f"replay came to no result: {again['error']}"):
        accounts = [[{key: row[key] for key in ("point", "drawn", "coded", "found", "verdict")}
                     for row in one["agreement"]] for one in (again["result"], result)]
        bench.same("replay: agreement", *accounts)
        bench.same("replay: supply", again["result"]["supply"], result["supply"])
    supply = result["supply"]
    if bench.check(supply, "prove: no account of the supply"):
        bench.same("prove: weak supply", supply["weak"], wanted.weak_supply)
        bench.check(supply["rest_v"] > supply["under_load_v"] >= supply["lowest_v"] > 0,
                    f"prove: the supply's account is out of order: {supply}")


def judge_error(bench, command, wanted):
    document = bench.run(command, wanted.status)
    if not document or not bench.check(document["error"], f"{command} should be refused"):
        return
    bench.same(f"{command}: error", document["error"]["id"], wanted.id)
    bench.says(f"{command}: hint", document["error"]["hint"], wanted.hint)


def judge(bench, row):
    if row.before_load:
        judge_ready(bench, row.before_load)
    if row.prove_refused:
        judge_error(bench, "prove", row.prove_refused)
    if row.load_refused:
        judge_error(bench, "load", row.load_refused)
    elif row.ready or row.prove or row.prove_stopped:
        bench.run("load", 0)
    if row.ready:
        judge_ready(bench, row.ready)
    if row.prove_stopped:
        judge_error(bench, "prove", row.prove_stopped)
    if row.prove:
        judge_prove(bench, row.prove)


def build_firmware(folder):
    """Made once for all rows: what differs from row to row is the robot, never the team's program."""
    for name in ("robot.toml", "program.cpp"):
        shutil.copy(ROOT / "examples" / "tray_carrier" / name, folder)
    words = [RINGOUT, "build", "robot.toml", "program.cpp", "--for", "atmega2560"]
    subprocess.run(words, cwd=folder, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, timeout=600, check=True)
    return folder / "generated"


def main():
    unknown = set(ONLY) - {row.name for row in ROWS}
    if unknown or LINK not in ("twin", "emulated"):
        sys.exit(__doc__)
    shipped = {path.stem for path in (ROOT / "examples" / "tray_carrier" / "deviations").glob("*.toml")}
    passed, failed = 0, 0
    with tempfile.TemporaryDirectory() as name:
        top = pathlib.Path(name)
        (top / "firmware").mkdir()
        firmware = build_firmware(top / "firmware") if LINK == "emulated" else None
        for row in ROWS:
            if ONLY and row.name not in ONLY:
                continue
            (top / row.name).mkdir()
            bench = Bench(top / row.name, row, firmware)
            judge(bench, row)
            passed, failed = (passed, failed + 1) if bench.wrong else (passed + 1, failed)
            print(f"{'wrong' if bench.wrong else 'right'}  {row.name}", flush=True)
            for problem in bench.wrong:
                print(f"         {problem}", flush=True)
    if shipped != {row.name for row in ROWS}:
        failed += 1
        print(f"wrong  rows and deviations files differ: {sorted(shipped ^ {row.name for row in ROWS})}")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
