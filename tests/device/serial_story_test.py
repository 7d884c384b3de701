#!/usr/bin/python3
"""The whole story of the demonstration on a serial port: the simulated robot stands behind a pseudo-terminal in real
time, and a person at another terminal works every command with nothing but its device after --on.

serial_story_test.py RINGOUT SOURCE_ROOT
"""
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import time

sys.dont_write_bytecode = True  # the source tree stays as it is
from bench_person import Person, Simulation

RINGOUT = pathlib.Path(sys.argv[1]).resolve()
ROOT = pathlib.Path(sys.argv[2]).resolve()
EXCHANGED = {"clamp", "mist_pump", "lift_bottom", "lift_top"}
LET_GO = 4  # exit status: stopped for safety, which is also what a machine too slow for its key looks like
TRIES = 4


def check(right, what):
    if not right:
        raise AssertionError(what)


def ahead_of_other_work():
    """A robot does not wait for a busy machine: what plays it runs first, where that may be asked for."""
    try:
        os.sched_setscheduler(0, os.SCHED_RR, os.sched_param(1))
    except OSError:
        pass


class Story:
    def __init__(self, folder):
        self.folder = folder
        example = ROOT / "examples" / "tray_carrier"
        kept_out = shutil.ignore_patterns(".ringout", "generated", "found.json")
        shutil.copytree(example, folder / "as_built", ignore=kept_out)  # as it really is, whatever the team's file says
        for name in ("robot.toml", "program.cpp"):
            shutil.copy(example / name, folder)
        self.began = time.monotonic()
        self.paper("build", "robot.toml", "program.cpp", "--for", "twin")
        ahead_of_other_work()
        self.start()

    def start(self):
        self.simulation = Simulation([RINGOUT, "twin", "robot.toml", "--on",
                                      "twin:as_built/deviations/connector_repair.toml"], self.folder)
        self.person = Person(self.simulation, self.folder / "robot.toml")

    def tell(self, text):
        print(f"{time.monotonic() - self.began:6.1f} s  {text}", flush=True)

    def paper(self, *words, status=(0,)):
        """A command that needs no person; its result."""
        done = subprocess.run([RINGOUT, *words, "--json"], cwd=self.folder, stdin=subprocess.DEVNULL,
                              capture_output=True, text=True, timeout=300, check=False)
        check(done.returncode in status, f"{words}: status {done.returncode}\n{done.stdout}\n{done.stderr}")
        return json.loads(done.stdout)["result"]

    def bench(self, *words, status=(0,)):
        """A command at the bench, worked by the person; a run control that slipped is taken up again."""
        for attempt in range(1, TRIES + 1):
            got, screen = self.person.work([RINGOUT, *words, "--on", self.simulation.path], self.folder)
            said = [line for line in screen.splitlines() if line.startswith("ringout:")]
            self.tell(" ".join([*words, f": status {got}", *said]))
            if got != LET_GO or attempt == TRIES:
                break
        check(got in status, f"{words}: status {got}, not {status}\n{screen}")
        return screen

    def prove(self, expected):
        """Proves until no point is left without a clear answer, as the tool asks for; verdicts and corrections."""
        for _ in range(TRIES):
            self.bench("prove", "robot.toml", status=(0, 1))
            found = self.paper("prove", "robot.toml", status=(0, 1))  # as kept, without a link
            verdicts = {row["point"]: row["verdict"] for row in found["agreement"]}
            if "untested" not in verdicts.values():
                break
        check(verdicts == expected, f"{verdicts}\n{json.dumps(found['agreement'], indent=1)}")
        check(found["ready"] == (set(expected.values()) == {"proved"}), "ready or not")
        return found["corrections"]

    def correct(self, corrections):
        """What a person does with an editor: the key in the table of the point."""
        tables = re.split(r"(?m)^(?=\[\[)", (self.folder / "robot.toml").read_text())
        for one in corrections:
            at = next(i for i, t in enumerate(tables) if re.search(rf'(?m)^name *= *"{one["point"]}"', t))
            tables[at], count = re.subn(rf'(?m)^({one["key"]} *= *)("[^"]*"|\w+)', rf'\g<1>{one["value"]}', tables[at])
            check(count == 1, f"no {one['key']} in the table of {one['point']}")
        (self.folder / "robot.toml").write_text("".join(tables))

    def acted(self):
        return {name for name, _ in self.simulation.look()}


def tell_story(story):
    story.bench("load", "robot.toml")
    check("go: every step is in order" in story.bench("ready", "robot.toml"), "go/no-go")

    story.acted()
    story.bench("run", "robot.toml")
    acted = story.acted()
    check("mist_pump" in acted and "clamp" not in acted, f"the clamp should stay still, and these acted: {acted}")

    points = story.person.points
    corrections = story.prove({point: "disagrees" if point in EXCHANGED else "proved" for point in points})
    check({c["point"] for c in corrections} == EXCHANGED, corrections)

    story.correct(corrections)
    story.bench("load", "robot.toml")
    check(not story.prove(dict.fromkeys(points, "proved")), "nothing should be left to correct")

    story.bench("load", "robot.toml")  # what is proved may use its own limits now
    story.acted()
    check("(done)" in story.bench("run", "robot.toml"), "the program should come to its last step")
    acted = story.acted()
    check({"clamp", "lift", "mist_pump"} <= acted, f"clamp, lift and pump should act, and these did: {acted}")
    readings = story.bench("meters", "robot.toml", "--for", "0.5")
    levels = re.findall(r"([-\d.]+) %", readings)
    check(levels and all(float(level) == 0.0 for level in levels), f"all outputs should be off\n{readings}")
    check(not story.acted(), "something still moves")


def pull_the_cable_out(story):
    """In the middle of a proving: what was found until then is kept, and said; the exit status says what happened."""
    story.start()
    story.bench("load", "robot.toml")
    story.person.surprises["by hand tray_present"] = story.simulation.pull_out
    screen = story.bench("prove", "robot.toml", status=(3,))
    check("the cable is out" in screen and "hint: plug the cable in again" in screen, screen)
    found = story.paper("prove", "robot.toml", status=(1,))
    kept = {row["point"] for row in found["agreement"] if row["verdict"] == "proved"}
    check(kept == {"lift_bottom", "lift_top", "tray_present"}, f"kept: {kept}\n{screen}")


def main():
    with tempfile.TemporaryDirectory() as folder:
        story = Story(pathlib.Path(folder))
        try:
            tell_story(story)
        finally:
            ended = story.simulation.end()
        check(ended == 0, f"the simulated robot ended with status {ended}")
        story.tell("the story on a serial port ended as it should")
        (story.folder / "found.json").unlink()
        pull_the_cable_out(story)


if __name__ == "__main__":
    main()
