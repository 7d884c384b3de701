#!/usr/bin/python3
"""Runs the built program as a person would: exit statuses, texts, and --json against docs/schema.

commands_test.py PROGRAM SOURCE_ROOT
"""
import json
import os
import pathlib
import pty
import select
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import unittest

import jsonschema

PROGRAM = pathlib.Path(sys.argv[1]).resolve()
ROOT = pathlib.Path(sys.argv[2]).resolve()
LINK = ["--on", "twin", "--acknowledge"]
REPAIR = ["--on", "twin:deviations/connector_repair.toml", "--acknowledge"]


def schema(name):
    return json.loads((ROOT / "docs" / "schema" / f"{name}.json").read_text())


class Commands(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.work = pathlib.Path(self.folder.name) / "tray_carrier"
        shutil.copytree(ROOT / "examples" / "tray_carrier", self.work,
                        ignore=shutil.ignore_patterns(".ringout", "generated", "found.json", "measured.toml"))

    def tearDown(self):
        self.folder.cleanup()

    def ringout(self, *words, status=0, stdin=subprocess.DEVNULL):
        done = subprocess.run([PROGRAM, *words], cwd=self.work, stdin=stdin, capture_output=True, text=True, timeout=300)
        self.assertEqual(done.returncode, status, f"{words}\n{done.stdout}\n{done.stderr}")
        return done

    def document(self, *words, status=0):
        """The one JSON document a command prints; it must suit the command's schema and its exit status."""
        done = self.ringout(*words, "--json", status=status)
        document = json.loads(done.stdout)
        jsonschema.validate(document, schema(words[0]))
        self.assertEqual(document["exit_status"], status)
        self.assertEqual(document["error"] is None, done.stderr == "" and document["error"] is None)
        return document

    def test_schemas_are_schemas(self):
        for path in sorted((ROOT / "docs" / "schema").glob("*.json")):
            jsonschema.Draft202012Validator.check_schema(json.loads(path.read_text()))

    def test_usage(self):
        done = self.ringout("fly", status=2)
        self.assertIn("hint: see: ringout --help", done.stderr)
        self.assertEqual(done.stdout, "")
        self.assertIn("ringout 0.1.0", self.ringout("--version").stdout)
        nowhere = self.document("check", "robot.toml", "--catalogue", "nowhere", status=2)
        self.assertEqual(nowhere["error"]["id"], "cli.no-such-folder")
        self.assertIn("--plot is given an empty text", self.ringout("check", "robot.toml", "--plot", "", status=2).stderr)
        (self.work / "found.json").write_text("{\n  \"format\": 1,\n")
        broken = self.document("prove", "robot.toml", status=2)["error"]
        self.assertIn("from line 3 on it is no JSON", broken["message"])
        (self.work / "found.json").write_text("[]")
        self.assertNotIn("json", self.document("prove", "robot.toml", status=2)["error"]["message"].split(": ", 1)[1])

    def test_new_and_check(self):
        self.document("new", "mine.toml")
        for finding in self.document("check", "mine.toml")["result"]["findings"]:
            self.assertEqual(finding["severity"], "note", finding)  # a starter has nothing to correct
        again = self.document("new", "mine.toml", status=2)
        self.assertEqual(again["error"]["id"], "cli.file-exists")

    def test_new_refuses_what_cannot_be_a_name(self):
        refused = self.document("new", "other.toml", "--name", "Pond Skimmer", status=2)
        self.assertEqual(refused["error"]["id"], "cli.bad-name")
        self.assertFalse((self.work / "other.toml").exists())

    def test_check_finds(self):
        text = (self.work / "robot.toml").read_text()
        (self.work / "robot.toml").write_text(text.replace('port = "OUT1"', 'port = "OUT9"', 1))
        found = self.document("check", "robot.toml", status=1)["result"]["findings"]
        self.assertTrue(any(f["severity"] == "error" and f["line"] > 0 for f in found))
        self.assertIn("robot.toml:", self.ringout("check", "robot.toml", status=1).stdout)
        self.document("bind", "robot.toml", status=2)  # other commands need a whole robot
        (self.work / "robot.toml").write_text(text.replace('positive_means', 'positive_parsnips', 1))
        self.document("check", "robot.toml", status=2)  # wrong as a file
        self.document("check", "nowhere.toml", status=2)

    def test_bind_and_draw(self):
        result = self.document("bind", "robot.toml")["result"]
        for path in result["files"]:
            self.assertTrue((self.work / path).is_file())
        drawn = self.document("draw", "robot.toml", "--out", "wiring", "--date", "2026-03-01")["result"]
        self.assertIn("<svg", (self.work / drawn["sheets"][0]).read_text())

    def test_check_answers_the_desk_s_questions(self):
        done = self.ringout("check", "robot.toml")
        self.assertIn("ok    findings    no error, no warning", done.stdout)
        self.assertIn("\n  for: wiring (Wim)\n", done.stdout)
        for words in ("drives_stalled at 90 % charge: the controller gets", "protection", "after 10 cycles", "lasts "):
            self.assertIn(words, done.stdout)
        result = self.document("check", "robot.toml", "--plot", "pictures")["result"]
        self.assertTrue(result["desk"]["cases"])
        self.assertTrue(result["plots"])
        for path in result["plots"]:
            self.assertIn("</svg>", (self.work / path).read_text())

    def test_every_table_of_the_desk_check_names_its_basis(self):
        desk = self.document("check", "robot.toml")["result"]["desk"]
        known = {basis["id"] for basis in desk["bases"]}
        named = set()

        def look(value):
            if isinstance(value, list):
                for part in value:
                    look(part)
            elif isinstance(value, dict):
                named.update(v for k, v in value.items() if k.endswith("basis") and v is not None)
                for part in value.values():
                    look(part)

        look({key: value for key, value in desk.items() if key != "bases"})
        self.assertLessEqual(named, known)
        self.assertLessEqual({"case.network", "case.stalled", "trip.catalogue", "trip.resettable", "trip.profile",
                              "motor.row", "motor.hot", "motor.start", "motor.heat", "battery.run_time", "spread"},
                             named)
        drive = desk["motors"][0]
        self.assertTrue(drive["limited_by_driver"])
        self.assertEqual(drive["curve"][-1]["speed_rad_per_s"], 0)
        self.assertAlmostEqual(drive["curve"][-1]["current_A"], drive["stall_current_A"])
        self.assertTrue(desk["cases"][0]["banks"])

    def test_calc(self):
        motor = ["calc", "motor", "--free-speed", "5200 rpm", "--free-current", "0.35 A", "--stall-torque",
                 "0.433 N*m +-5%", "--stall-current", "20 A"]
        figures = {f["id"]: f for f in self.document(*motor)["result"]["figures"]}
        self.assertAlmostEqual(figures["output_speed"]["value"], 5200, delta=10)
        self.assertLess(figures["motor_constant"]["low"], figures["motor_constant"]["high"])
        self.assertEqual(self.document("calc", "motor", status=2)["error"]["id"], "calc.missing")
        self.assertIn("did you mean calc motor?", self.ringout("calc", "moter", status=2).stderr)
        self.assertIn("--stall-torque", self.ringout("calc", "motor", "--help").stdout)

    def test_cold(self):
        sheet = self.document("cold", "robot.toml")["result"]
        self.assertEqual(sheet["faults"], 0)
        found = self.document("cold", "robot.toml", "--readings", "cold_readings.txt", "--by", "Wim", status=1)["result"]
        verdicts = {s["id"]: s["verdict"] for s in found["steps"]}
        self.assertEqual(verdicts["rails.short"], "short")
        self.assertEqual(verdicts["lift.minus"], "open")
        self.assertEqual(verdicts["clamp.loop"], "exchanged")
        self.assertRegex((self.work / "measured.toml").read_text(), "by = .Wim.")
        again = self.document("cold", "robot.toml", status=1)["result"]  # kept
        self.assertEqual(again["faults"], found["faults"])
        (self.work / "few.txt").write_text("rails.short = 2 kohm\n")
        fewer = self.document("cold", "robot.toml", "--readings", "few.txt", status=1)["result"]
        self.assertEqual(fewer["faults"], found["faults"] - 1)
        (self.work / "bad.txt").write_text("lift.lop = 3\n")
        wrong = self.document("cold", "robot.toml", "--readings", "bad.txt", status=2)["error"]
        self.assertIn("bad.txt:1", wrong["message"])
        (self.work / "measured.toml").write_text("[[cold\n")
        self.assertEqual(self.document("cold", "robot.toml", status=2)["error"]["id"], "measured.syntax")
        self.ringout("cold", "robot.toml", "--kept", "new.toml", "--print", "sheet.html")
        self.assertIn("</table>", (self.work / "sheet.html").read_text())
        for name in ("sheet.pdf", "sheet", "nowhere/sheet.html"):
            refused = self.document("cold", "robot.toml", "--print", name, status=2)["error"]
            self.assertEqual(refused["id"], "cold.print")
            self.assertIn(name, refused["message"])
            self.assertFalse((self.work / name).exists())

    def test_export(self):
        netlist = self.document("export", "netlist", "robot.toml", "--case", "drives_stalled")["result"]["netlist"]
        self.assertIn(".end", netlist)
        wrong = self.document("export", "netlist", "robot.toml", "--case", "drives_staled", status=2)["error"]
        self.assertIn("did you mean drives_stalled?", wrong["hint"])
        self.ringout("export", "netlist", "robot.toml", "--out", "worst.cir")
        self.assertTrue((self.work / "worst.cir").is_file())

    def test_export_of_a_start(self):
        result = self.document("export", "netlist", "robot.toml", "--start", "lift")["result"]
        self.assertEqual((result["case"], result["start"]), (None, "lift"))
        wrong = self.document("export", "netlist", "robot.toml", "--start", "lifft", status=2)["error"]
        self.assertEqual(wrong["id"], "export.start")
        self.assertIn("did you mean lift?", wrong["hint"])
        self.assertNotIn("warning_lamp", wrong["hint"])
        self.assertEqual(
            self.document("export", "netlist", "robot.toml", "--start", "warning_lamp", status=2)["error"]["id"],
            "desk.no-motor")
        self.ringout("export", "netlist", "robot.toml", "--start", "lift", "--case", "all_off", status=2)
        told = self.ringout("export", "netlist", "robot.toml", "--start", "lift", "--out", "start.cir").stdout
        self.assertIn("netlist of the start of lift", told)
        ran = subprocess.run(["ngspice", "-b", "start.cir"], cwd=self.work, capture_output=True, text=True)
        self.assertIn("speed_20", ran.stdout)

    def test_links(self):
        names = [link["on"] for link in self.document("links")["result"]["links"]]
        self.assertIn("twin", names)

    def test_build_for_the_twin(self):
        result = self.document("build", "robot.toml", "--for", "twin")["result"]
        self.assertTrue((self.work / result["product"]).is_file())
        (self.work / "program.cpp").write_text("void program() { nonsense }\n")
        broken = self.document("build", "robot.toml", "--for", "twin", status=2)
        self.assertEqual(broken["error"]["id"], "cli.build-failed")

    def test_no_controller(self):
        self.assertEqual(self.document("load", "robot.toml", status=2)["error"]["id"], "cli.no-link")
        self.document("load", "robot.toml", "--on", "/dev/ttyNOTHERE", status=3)
        self.assertEqual(self.document("prove", "robot.toml", status=2)["error"]["id"], "cli.nothing-found-yet")
        done = self.document("jog", "robot.toml", "lift", "--on", "twin", status=2)  # no terminal, no acknowledgement
        self.assertEqual(done["error"]["id"], "terminal.none")

    def test_bench(self):
        self.document("load", "robot.toml", *LINK)
        ready = self.document("ready", "robot.toml", *LINK, "--readings-only")["result"]
        self.assertTrue(ready["go"], ready)
        self.document("jog", "robot.toml", "warning_lamp", "20", "--for", "0.1", *LINK)
        jogged = self.document("jog", "robot.toml", "lift", "10", *LINK)["result"]
        self.assertFalse(jogged["proved"])
        self.assertLess(jogged["allowed_s"], 1)
        text = self.ringout("jog", "robot.toml", "lift", "10", *LINK).stdout
        self.assertIn("cut short: until lift is proved", text)
        self.assertNotIn("space bar", text)
        near = self.document("jog", "robot.toml", "warning_lmp", *LINK, status=2)
        self.assertIn("warning_lamp", near["error"]["hint"])

    def test_run(self):
        self.document("build", "robot.toml", "--for", "twin")
        self.document("load", "robot.toml", *LINK)
        result = self.document("run", "robot.toml", *LINK)["result"]
        self.assertEqual(result["state"], "ended")
        self.assertIsNone(result["unused_stack_bytes"])  # the twin has none to count

    def test_what_the_controller_carries_is_not_this_robot_file_s(self):
        def on(kind):
            return ["--on", f"twin:deviations/{kind}.toml", "--acknowledge"]
        def told(line):
            return json.loads(line)["differs"]
        for kind, error in (("old_firmware", "session.other-firmware"), ("other_program", "session.other-program"),
                            ("stale_table", "session.other-table")):
            for words in (["prove"], ["run"], ["jog", "lift", "10"]):
                refused = self.document(words[0], "robot.toml", *words[1:], *on(kind), status=1)
                self.assertEqual(refused["error"]["id"], error)
            shown = self.ringout("meters", "robot.toml", *on(kind)[:2], "--for", "0.3", "--json").stdout.splitlines()
            self.assertNotEqual(told(shown[0]), "")
        self.assertEqual(self.document("load", "robot.toml", *on("old_firmware"), status=1)["error"]["id"],
                         "session.other-firmware")
        self.document("load", "robot.toml", *LINK)
        shown = self.ringout("meters", "robot.toml", "--on", "twin", "--for", "0.3", "--json").stdout.splitlines()
        self.assertEqual(told(shown[0]), "")

    def test_a_proving_that_was_cut_off_proves_nothing_that_nobody_saw(self):
        self.document("load", "robot.toml", *REPAIR)
        (self.work / "half.answers").write_text(
            "cautions = yes\ndisconnect.* = done\nclearance.* = yes\nwork.* = done\n")
        cut = self.document("prove", "robot.toml", *REPAIR[:2], "--answers", "half.answers", status=2)
        self.assertEqual(cut["error"]["id"], "answers.missing")
        self.assertFalse(cut["result"]["ready"])
        verdicts = {row["point"]: row["verdict"] for row in cut["result"]["agreement"]}
        for unseen in ("mist_pump", "warning_lamp"):
            self.assertNotEqual(verdicts[unseen], "proved", cut["result"])
        self.document("load", "robot.toml", *REPAIR)
        text = self.ringout("prove", "robot.toml", *REPAIR[:2], "--answers", "half.answers", status=2).stdout
        self.assertIn("not ready, because the proving ended early", text)

    def test_a_load_on_the_controller_s_own_branch_is_no_weak_battery(self):
        text = (self.work / "robot.toml").read_text()
        (self.work / "robot.toml").write_text(text.replace('fed_by = "fuse_mist"', 'fed_by = "resettable_controller"'))
        self.document("load", "robot.toml", *LINK)
        supply = self.document("prove", "robot.toml", *LINK)["result"]["supply"]
        self.assertFalse(supply["weak"])
        # Both bridges' bumps share a further 0.03 ohm with the controller, which the fit must not count.
        self.assertLess(abs(supply["source_ohms"] - supply["drawn_ohms"]), 0.004, supply)

    def test_a_slip_in_a_file_of_answers_is_told_before_anything_moves(self):
        self.document("load", "robot.toml", *LINK)
        (self.work / "slips.answers").write_text("cautions = yes\nclarence.* = yes\nacted.OUT4 = clamp\n")
        refused = self.ringout("prove", "robot.toml", *LINK[:2], "--answers", "slips.answers", status=2)
        self.assertIn("slips.answers:2", refused.stderr)
        self.assertIn("slips.answers:3", refused.stderr)
        self.assertNotIn("bump", refused.stdout)

    def test_meters_are_a_stream(self):
        self.document("load", "robot.toml", *LINK)
        done = self.ringout("meters", "robot.toml", "--on", "twin", "--for", "1", "--json")
        lines = [json.loads(line) for line in done.stdout.splitlines()]
        for line in lines:
            jsonschema.validate(line, schema("meters"))
        self.assertGreaterEqual(len(lines), 5)
        self.assertEqual(lines[-1]["result"]["readings"], len(lines) - 1)
        self.assertTrue(all("time_s" in line for line in lines[:-1]))
        refused = self.document("meters", "robot.toml", "--on", "/dev/ttyNOTHERE", status=3)
        self.assertEqual(refused["error"]["id"], "link.no-such-device")
        # A program that follows gets each line at once, and may stop reading whenever it likes.
        for form in (["--json"], []):
            followed = subprocess.Popen([PROGRAM, "meters", "robot.toml", "--on", "twin", *form], cwd=self.work,
                                        stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
            for _ in range(3):
                self.assertTrue(followed.stdout.readline().endswith(b"\n"))
            followed.stdout.close()
            self.assertEqual(followed.wait(timeout=60), 0)
            followed.stderr.close()

    def test_prove_correct_and_replay(self):
        self.document("load", "robot.toml", *REPAIR)
        proved = self.document("prove", "robot.toml", *REPAIR, status=1)["result"]
        verdicts = {row["point"]: row["verdict"] for row in proved["agreement"]}
        changed = {"clamp", "mist_pump", "lift_bottom", "lift_top"}
        for point, verdict in verdicts.items():
            self.assertEqual(verdict, "disagrees" if point in changed else "proved", point)
        jsonschema.validate(json.loads((self.work / "found.json").read_text()), schema("found"))

        def told(findings):
            return sorted((f["point"], f["found_port"] or "", f["sign"], f["condition"], f["confidence"])
                          for f in findings)

        replayed = self.document("prove", "robot.toml", "--replay", proved["capture"], status=1)["result"]
        self.assertEqual(told(replayed["findings"]), told(proved["findings"]))
        kept = self.document("prove", "robot.toml", status=1)["result"]
        self.assertEqual(told(kept["findings"]), told(proved["findings"]))

        # Killed while it went on, with nothing kept: what the capture holds by then is kept on the same machine.
        (self.work / "found.json").rename(self.work / "live.json")
        whole = pathlib.Path(self.work / proved["capture"]).read_text().splitlines(keepends=True)
        asked = next(i for i, line in enumerate(whole) if line.startswith("answer"))
        (self.work / "cut.capture").write_text("".join(whole[:asked]) + whole[asked][:5])
        keep = ["--replay", "cut.capture", "--findings", "found.json"]
        cut = self.document("prove", "robot.toml", *keep, status=1)["result"]
        live = json.loads((self.work / "live.json").read_text())
        kept = json.loads((self.work / "found.json").read_text())
        jsonschema.validate(kept, schema("found"))
        for key in ("robot", "on", "controller", "person", "table_fingerprint", "coded"):
            self.assertEqual(kept[key], live[key], key)
        self.assertTrue({"lift_bottom", "lift_top"} <= {point["point"] for point in kept["points"]})
        self.assertEqual({row["point"]: row["coded"] for row in cut["agreement"]},
                         {row["point"]: row["coded"] for row in proved["agreement"]})
        keep[1] = proved["capture"]
        self.document("prove", "robot.toml", *keep, status=1)
        again = json.loads((self.work / "found.json").read_text())
        self.assertEqual(told(again["points"]), told(live["points"]))
        self.assertEqual({point["on"] for point in again["points"]}, {live["on"]})
        # Not with another drawing, not beside another machine's findings, and not from a capture without a machine.
        drawn = (self.work / "robot.toml").read_text()
        (self.work / "robot.toml").write_text(drawn.replace('port = "OUT5"', 'port = "OUT8"'))
        refused = self.document("prove", "robot.toml", *keep, status=2)
        self.assertEqual(refused["error"]["id"], "cli.capture-of-another-robot")
        (self.work / "robot.toml").write_text(drawn)
        (self.work / "real.json").write_text(json.dumps({**live, "on": "/dev/ttyACM0"}))
        refused = self.document("prove", "robot.toml", *keep[:3], "real.json", status=2)
        self.assertEqual(refused["error"]["id"], "cli.found-on-another-machine")
        (self.work / "old.capture").write_text("".join(line for line in whole if not line.startswith("about")))
        refused = self.document("prove", "robot.toml", "--replay", "old.capture", *keep[2:], status=2)
        self.assertEqual(refused["error"]["id"], "cli.capture-without-machine")

        # The truth stays as it was built while the team corrects its own copy of the robot file.
        shutil.copy(self.work / "robot.toml", self.work / "as_built.toml")
        deviations = self.work / "deviations" / "connector_repair.toml"
        deviations.write_text(deviations.read_text().replace("../robot.toml", "../as_built.toml"))

        # Drawing what was found makes the findings of just those points stale, until they are proved again.
        text = (self.work / "robot.toml").read_text()
        for correction in proved["corrections"]:
            self.assertEqual(correction["key"], "port")
        for a, b in (("OUT4", "OUT6"), ("SW1", "SW2")):
            text = text.replace(f'port = "{a}"', 'port = "@"').replace(f'port = "{b}"', f'port = "{a}"')
            text = text.replace('port = "@"', f'port = "{b}"')
        (self.work / "robot.toml").write_text(text)
        stale = {row["point"]: row["verdict"] for row in self.document("prove", "robot.toml", status=1)["result"][
            "agreement"]}
        self.assertTrue(all(stale[point] == "stale" for point in changed), stale)
        self.document("load", "robot.toml", *REPAIR)
        self.assertTrue(self.document("prove", "robot.toml", *REPAIR)["result"]["ready"])


    def test_interrupt(self):
        self.document("load", "robot.toml", *LINK)
        proving = subprocess.Popen([PROGRAM, "prove", "robot.toml", *LINK], cwd=self.work, stdin=subprocess.DEVNULL,
                                   stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        for line in proving.stdout:
            if line.startswith("bump"):
                proving.send_signal(signal.SIGINT)
                break
        out, error = proving.communicate(timeout=60)
        self.assertEqual(proving.returncode, 130, out + error)
        self.assertIn("outputs are off", error)

    def test_twin_behind_a_pseudo_terminal(self):
        served = subprocess.Popen([PROGRAM, "twin", "robot.toml", "--json"], cwd=self.work, stdin=subprocess.PIPE,
                                  stdout=subprocess.PIPE, text=True)
        try:
            line = json.loads(served.stdout.readline())
            jsonschema.validate(line, schema("twin"))
            path = line["path"]
            ready = self.document("load", "robot.toml", "--on", path)["result"]
            self.assertGreater(ready["bytes"], 400)
            refused = self.document("prove", "robot.toml", "--on", path, "--acknowledge", status=2)
            self.assertEqual(refused["error"]["id"], "cli.acknowledge-on-hardware")
        finally:
            served.send_signal(signal.SIGINT)
            last = served.communicate(timeout=30)[0]
        self.assertEqual(served.returncode, 0)
        jsonschema.validate(json.loads(last), schema("twin"))

    def test_a_person_at_the_terminal(self):
        """Jogs a lamp on the twin: cautions by line, hands by key, the run control by a repeating space bar."""
        self.document("load", "robot.toml", *LINK)
        person, terminal = pty.openpty()
        jog = subprocess.Popen([PROGRAM, "jog", "robot.toml", "warning_lamp", "40", "--for", "0.4", "--on", "twin"],
                               cwd=self.work, stdin=terminal, stdout=terminal, stderr=terminal, close_fds=True)
        os.close(terminal)
        give_up = time.monotonic() + 60
        shown = ""
        clearances = 0
        answers = {"Write yes": b"yes\n", "open the supply disconnect": b"d", "close the supply disconnect": b"d"}
        asked = set()
        while jog.poll() is None:
            if select.select([person], [], [], 0.03)[0]:
                try:
                    shown += os.read(person, 4096).decode(errors="replace")
                except OSError:
                    break
            for text, answer in answers.items():
                if text in shown and text not in asked:
                    asked.add(text)
                    os.write(person, answer)
            if shown.count("number: ") > clearances:  # "is there room to both ends?"
                clearances += 1
                os.write(person, b"1\n")
            if "hold the run control" in shown:
                os.write(person, b" ")  # the key repeats
            if time.monotonic() > give_up:
                jog.kill()
        jog.wait(timeout=30)
        os.close(person)
        self.assertEqual(jog.returncode, 0, shown)
        self.assertEqual(asked, set(answers), shown)
        self.assertRegex(shown, "for 0[.][01][0-9] s; ended")  # unproved: no longer than the bound for any device


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0], *sys.argv[3:]], verbosity=2)
