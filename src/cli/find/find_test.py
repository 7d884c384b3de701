#!/usr/bin/python3
"""`ringout find` as a person and as a program would run it.

find_test.py PROGRAM SOURCE_ROOT
"""
import json
import os
import pathlib
import pty
import re
import select
import signal
import subprocess
import sys
import time
import unittest

sys.dont_write_bytecode = True  # the source tree stays as it is
sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent))
import commands_test  # noqa: E402
sys.path.insert(0, str(commands_test.ROOT / "tests" / "device"))
import bench_person  # noqa: E402
import jsonschema  # noqa: E402

REPAIR = "twin:deviations/connector_repair.toml"
MODEL = """[model]
name = "lamp"
faults = "independent"
call_cost = 60
[[part]]
name = "bulb"
prior = 0.1
[[part]]
name = "fuse"
prior = 0.05
[[check]]
name = "switch it on"
outcomes = ["lit", "dark"]
cost = 0.1
sees = [{ fault = "bulb", chance = [0, 1] }, { fault = "fuse", chance = [0, 1] }]
[[check]]
name = "look at the fuse"
cost = 1
outcomes = ["whole", "blown"]
sees = [{ fault = "fuse", chance = [0, 1] }]
[[repair]]
name = "new bulb"
cost = 5
mends = [{ fault = "bulb" }]
[[repair]]
name = "new fuse"
cost = 4
mends = [{ fault = "fuse" }]
[[symptom]]
check = "switch it on"
outcome = "dark"
"""


class AtTerminal:
    """`ringout find` behind a pseudo-terminal: whoever works it reads up to a prompt, and answers by line."""

    def __init__(self, work, *words):
        self.screen, terminal = pty.openpty()
        # Time enough that what is counted bounds each step, however busy the machine is.
        command = [commands_test.PROGRAM, "find", "robot.toml", "--time", "600", *words]
        self.process = subprocess.Popen(command, cwd=work, close_fds=True,
                                        stdin=terminal, stdout=terminal, stderr=terminal,
                                        env=dict(os.environ, TERM="dumb", NO_COLOR="1"))
        os.close(terminal)

    def read(self):
        """What the screen shows up to the next prompt, or to the end."""
        shown = ""
        give_up = time.monotonic() + bench_person.PATIENCE_S
        while not shown.rstrip().endswith(("number:", "letter:", "Write yes:")):
            if time.monotonic() > give_up or not select.select([self.screen], [], [], 60)[0]:
                raise AssertionError("no prompt comes\n" + shown)
            try:
                more = os.read(self.screen, 4096)
            except OSError:  # it has ended
                break
            if not more:
                break
            shown += more.decode(errors="replace")
        return shown

    def answer(self, line):
        """Answers; what the screen shows then."""
        os.write(self.screen, (line + "\n").encode())
        return self.read()

    def end(self):
        status = self.process.wait(timeout=60)
        os.close(self.screen)
        return status


class Find(unittest.TestCase):
    setUp = commands_test.Commands.setUp
    tearDown = commands_test.Commands.tearDown
    ringout = commands_test.Commands.ringout

    def lines(self, *words, status=0):
        """The objects that find --json prints; each suits the schema, the last is how it ended."""
        done = self.ringout("find", *words, "--json", status=status)
        objects = [json.loads(line) for line in done.stdout.splitlines()]
        if len(objects) == 0 or "event" in objects[-1]:
            self.fail(done.stdout + done.stderr)
        for one in objects:
            jsonschema.validate(one, commands_test.schema("find"))
        self.assertEqual(objects[-1]["exit_status"], status)
        return objects

    def typed(self, lines, *words, status):
        """find --json with these lines on its standard input."""
        (self.work / "typed.txt").write_text(lines)
        with open(self.work / "typed.txt") as stdin:
            return self.ringout("find", *words, "--json", status=status, stdin=stdin)

    def case(self, answers):
        (self.work / "answers.txt").write_text(answers)
        return ["--model", "lamp.toml", "--answers", "answers.txt", "--case", "lamp.case"]

    def test_a_model_s_tree_and_its_cost(self):
        (self.work / "lamp.toml").write_text(MODEL)
        result = json.loads(self.ringout("find", "--model", "lamp.toml", "--json").stdout)["result"]
        self.assertTrue(result["exact"])
        self.assertAlmostEqual(result["expected_cost"], result["optimum_at_most"])
        self.assertIn("new bulb", result["tree"])
        for name in ("fixed-order", "chance-over-cost", "information"):
            other = self.ringout("find", "--model", "lamp.toml", "--strategy", name, "--json")
            self.assertGreaterEqual(json.loads(other.stdout)["result"]["expected_cost"],
                                    result["expected_cost"] - 1e-9)
        self.assertIn("it is one of fixed-order",
                      self.ringout("find", "--model", "lamp.toml", "--strategy", "luck", status=2).stderr)
        (self.work / "lamp.toml").write_text(MODEL.replace('fault = "fuse", chance = [0, 1] }]', 'fault = "fuze" }]', 1))
        self.assertRegex(self.ringout("find", "--model", "lamp.toml", status=2).stderr, r"lamp[.]toml:\d+:\d+")
        self.assertEqual(self.lines(status=2)[-1]["error"]["id"], "find.of-what")

    def test_what_does_not_go_together_is_said(self):
        (self.work / "lamp.toml").write_text(MODEL)

        def wrong(*words):
            error = self.lines(*words, status=2)[-1]["error"]
            self.assertTrue(error["hint"], error)
            return error["message"]
        self.assertIn("both given", wrong("robot.toml", "--model", "lamp.toml"))
        self.assertIn("--on goes with a robot file", wrong("--model", "lamp.toml", "--on", "twin"))
        self.assertIn("--trouble goes with a robot", wrong("--model", "lamp.toml", "--trouble", "clamp=nothing"))
        self.assertIn("--interview is for a model", wrong("robot.toml", "--interview"))
        self.assertIn("has its complaint", wrong("robot.toml", "--resume", "--trouble", "clamp=nothing"))
        complaint = ("robot.toml", "--trouble", "clamp=nothing", "--case")
        self.assertEqual(wrong(*complaint, "nowhere/x.case"), "there is no folder nowhere to keep a case in")
        self.assertFalse((self.work / "nowhere").exists())
        robot = (self.work / "robot.toml").read_bytes()
        self.assertEqual(wrong(*complaint, "robot.toml"), "robot.toml is there already, and is no case")
        self.assertEqual((self.work / "robot.toml").read_bytes(), robot)
        (self.work / "old.case").write_text("ringout case 1\n")
        self.assertEqual(wrong(*complaint, "old.case"), "old.case holds a case already")
        (self.work / "fault_history.txt").write_text("ringout fault history 1\ncases\t3\nfault\t99\tfuse\n")
        self.assertRegex(wrong("--model", "lamp.toml"), r"fault_history[.]txt:3:1.*\n?.*99 times in 3 cases")

    def test_all_errors_of_an_answers_file_are_told_before_anything_begins(self):
        (self.work / "lamp.toml").write_text(MODEL)
        bad = ["check.nonsense = x", "check.look_at_the_fuse = blwn", "repair.* = cant_tell", "prove = maybe",
               "found = fuze", "ready.look_at_the_fuze = go", "doubt = 2"]
        good = ["check.look_at_the_fuse = blown", "check.* = cant_tell", "repair.new_fuse = right", "found = fuse",
                "found = bulb_fuse", "doubt = entry_2", "take_back = cancel", "* = quit", "stuck = quit"]

        def told(lines, *words):
            (self.work / "answers.txt").write_text("\n".join(lines) + "\n")
            done = self.ringout("find", *words, "--answers", "answers.txt", "--json", status=2)
            *events, end = [json.loads(line) for line in done.stdout.splitlines()]
            self.assertEqual(events, [])
            self.assertEqual(end["error"]["id"], "cli.answers-have-errors", end)
            return [int(line) for line in re.findall(r"answers[.]txt:(\d+):\d+", end["error"]["message"])]
        model = ("--model", "lamp.toml", "--case", "lamp.case")
        self.assertEqual(told(good + bad, *model), list(range(len(good) + 1, len(good + bad) + 1)))
        self.assertFalse((self.work / "lamp.case").exists())
        robot = ("robot.toml", "--trouble", "clamp=nothing", "--on", REPAIR, "--case", "mine.case")
        lines = ["cautions = yes", "check.nonsense = x", "acted.OUT99 = nothing", "ready.* = go", "prove = maybe"]
        self.assertEqual(told(lines, *robot), [2, 3, 5])
        self.assertFalse((self.work / "mine.case").exists())

    def test_a_model_too_large_to_be_searched_ends_with_its_time(self):
        n = 10
        model = ['[model]\nname = "ten of each"\nfaults = "independent"\ncall_cost = 200\n']
        for i in range(n):
            model.append(f'[[part]]\nname = "p{i}"\nprior = {0.02 + 0.01 * i}\n')
        for i in range(n):
            sees = ", ".join(f'{{ fault = "p{k}", chance = [0.{1 + k % 3}, 0.{9 - k % 3}] }}'
                             for k in range(n) if (k * 7 + i) % 3)
            model.append(f'[[check]]\nname = "c{i}"\ncost = {1 + i % 4}\noutcomes = ["good", "bad"]\n'
                         f'healthy = [0.95, 0.05]\nsees = [{sees}]\n')
        for i in range(n):
            model.append(f'[[repair]]\nname = "r{i}"\ncost = {10 + 3 * i}\n'
                         f'mends = [{{ fault = "p{i}", chance = 0.9 }}]\n')
        (self.work / "ten.toml").write_text("".join(model))
        for strategy in ("best", "rollout", "optimum"):
            words = ("find", "--model", "ten.toml", "--strategy", strategy, "--time", "0.1")
            document = json.loads(self.ringout(*words, "--json").stdout)
            jsonschema.validate(document, commands_test.schema("find"))
            result = document["result"]
            self.assertLess(result["optimum_at_least"], result["optimum_at_most"])
            self.assertFalse(result["exact"])
            text = self.ringout(*words).stdout
            self.assertLess(text.index("(cost "), text.index("expected cost"))  # the tree comes first
            self.assertIn("more was not found in time", text)
            self.assertIn("--time SECONDS allows more", text)

    def test_symptoms_that_cannot_be_are_named_by_their_place(self):
        (self.work / "lamp.toml").write_text(MODEL + '[[check]]\nname = "hum"\ncost = 0\noutcomes = ["none", "loud"]\n'
                                             '[[symptom]]\ncheck = "hum"\noutcome = "loud"\n')
        said = self.ringout("find", "--model", "lamp.toml", status=2).stderr
        self.assertRegex(said, r"lamp[.]toml:\d+:\d+")
        self.assertIn("no fault of this model shows this symptom", said)

    def test_a_case_is_quit_resumed_closed_and_learned_from(self):
        (self.work / "lamp.toml").write_text(MODEL)
        said = self.lines(*self.case("check.look_at_the_fuse = blown\nrepair.new_bulb = not_now\nrepair.new_fuse = quit\n"),
                          status=1)
        self.assertFalse(said[-1]["result"]["closed"])
        self.assertEqual(said[0]["event"], "begin")
        again = self.lines(*self.case("repair.new_fuse = done\nprove = held\nfound = fuse\n"), "--resume")
        self.assertTrue(again[-1]["result"]["closed"])
        self.assertEqual(again[-1]["result"]["found"][0]["fault"], "fuse")
        self.assertIn("closed\tfuse\n", (self.work / "lamp.case").read_text())
        history = json.loads(self.ringout("find", "--model", "lamp.toml", "--show-history", "--json").stdout)["result"]
        self.assertEqual((history["cases"], history["faults"]), (1, {"fuse": 1}))
        self.assertIn("fuse:", self.ringout("find", "--model", "lamp.toml").stdout)  # what it has moved is said
        self.ringout("find", "--model", "lamp.toml", "--export-history", "ours.txt")
        self.ringout("find", "--model", "lamp.toml", "--merge-history", "ours.txt")
        self.assertIn("cases\t2\n", (self.work / "fault_history.txt").read_text())

    def test_a_closed_case_says_what_it_was_closed_with(self):
        (self.work / "lamp.toml").write_text(MODEL)
        said = self.lines(*self.case("check.* = cant_tell\nrepair.new_bulb = not_now\nrepair.new_fuse = done\nprove = held\n"))
        last = [one for one in said if one.get("event") == "now"][-1]
        self.assertEqual((last["status"], [one["fault"] for one in last["suspects"]]), ("closed", ["fuse"]))
        self.assertEqual([one["fault"] for one in said[-1]["result"]["found"]], ["fuse"])

    def test_where_no_way_leads_to_the_end_no_time_is_named(self):
        (self.work / "two.toml").write_text('[model]\nname = "two"\n' + "".join(
            f'[[part]]\nname = "{x}"\nprior = 0.5\n' for x in "ab") + "".join(
            f'[[repair]]\nname = "renew {x}"\ncost = 5\nmends = [{{ fault = "{x}" }}]\n' for x in "ab"))
        (self.work / "answers.txt").write_text("repair.renew_a = not_now\nrepair.renew_b = quit\n")
        said = self.lines("--model", "two.toml", "--answers", "answers.txt", status=1)
        now = [one["next"] for one in said if one.get("event") == "now"]
        self.assertIsNotNone(now[0]["expected"])
        self.assertEqual((now[-1]["name"], now[-1]["expected"], now[-1]["at_least"]), ("renew b", None, None))

    def test_a_case_cut_off_goes_on_and_a_wrong_one_is_left_as_it_is(self):
        (self.work / "lamp.toml").write_text(MODEL)
        self.lines(*self.case("check.look_at_the_fuse = whole\nrepair.new_bulb = quit\ncheck.* = cant_tell\n"), status=1)
        whole = (self.work / "lamp.case").read_bytes()
        (self.work / "lamp.case").write_bytes(whole + b"saw\tperson\tlook at t")
        said = self.lines(*self.case("repair.* = quit\ncheck.* = quit\n"), "--resume", status=1)
        self.assertEqual(len(said[0]["kept"]), whole.count(b"\n") - 2)
        self.assertEqual((self.work / "lamp.case").read_bytes(), whole)
        broken = whole + b"saw it\n"
        (self.work / "lamp.case").write_bytes(broken)
        wrong = self.lines(*self.case("repair.* = quit\n"), "--resume", status=2)[-1]["error"]
        self.assertEqual(wrong["id"], "find.case-has-errors")
        self.assertRegex(wrong["message"], r"lamp[.]case:\d+:1")
        self.assertEqual((self.work / "lamp.case").read_bytes(), broken)
        other = self.lines("robot.toml", "--case", "lamp.case", "--resume", status=2)[-1]["error"]
        self.assertEqual(other["id"], "find.case-has-errors")
        (self.work / "lamp.case").write_bytes(whole)
        other = self.lines("robot.toml", "--case", "lamp.case", "--resume", status=2)[-1]["error"]
        self.assertEqual(other["id"], "find.case-of-another")

    def test_answers_that_cannot_all_be_true(self):
        model = MODEL + '[[check]]\nname = "other lamp"\ncost = 0.5\noutcomes = ["lit", "dark"]\n' \
                        'sees = [{ fault = "fuse", chance = [0, 1] }]\n'
        (self.work / "lamp.toml").write_text(model)
        (self.work / "lamp.case").write_text("ringout case 1\nabout\tlamp\nsaw\tperson\tlook at the fuse\tblown\n"
                                             "saw\tperson\tother lamp\tlit\n")
        said = self.lines(*self.case("doubt = entry_2\nrepair.* = quit\n"), "--resume", status=1)
        asked = [one for one in said if one.get("event") == "ask"]
        self.assertEqual([choice["id"] for choice in asked[0]["choices"]][:2], ["entry_1", "entry_2"])
        self.assertEqual(said[-1]["result"]["suspects"][0]["fault"], "fuse")

    def test_the_story_of_the_connector_repair(self):
        self.ringout("load", "robot.toml", "--on", REPAIR, "--acknowledge")
        said = self.lines("robot.toml", "--on", REPAIR, "--acknowledge", "--trouble", "clamp=nothing", status=1)
        result = said[-1]["result"]
        self.assertIn("exchanged", result["found"][0]["fault"])
        for point in ("clamp", "mist_pump"):
            self.assertIn(point, result["found"][0]["text"])
        self.assertLess(result["spent"], 1.0)  # minutes of bench time
        self.assertTrue(result["found"][0]["settled_by"].startswith("wiring"))
        self.assertNotIn("program", result["found"][0]["change"])
        self.assertEqual(result["found"][0]["proof"], f"ringout prove robot.toml --on {REPAIR}")
        done = [one for one in said if one.get("event") == "entry"]
        self.assertTrue(all(one["by"] == "bench" or "watch a bump" in one["text"] for one in done), done)
        text = self.ringout("find", "robot.toml", "--on", REPAIR, "--acknowledge", "--trouble", "clamp=nothing",
                            status=1).stdout
        self.assertIn("FOUND", text)
        self.assertNotIn("take out", text)

    def test_what_was_not_agreed_to_takes_no_time(self):
        self.ringout("load", "robot.toml", "--on", REPAIR, "--acknowledge")
        (self.work / "answers.txt").write_text("cautions = no\nready.* = go\ncheck.* = quit\nrepair.* = quit\n")
        said = self.lines("robot.toml", "--on", REPAIR, "--answers", "answers.txt", "--trouble", "clamp=nothing", status=1)
        refused, spent, grown = 0, 0.0, 0.0
        for one in said[:-1]:
            if one["event"] == "entry":
                bump = "bump" in one["text"]
                refused += bump
            elif one["event"] == "now":
                grown += one["spent"] - spent if refused and bump else 0.0
                spent = one["spent"]
        self.assertGreaterEqual(refused, 1, said)
        self.assertEqual(grown, 0.0, said)

    def test_what_the_bench_tries_after_a_repair_is_said(self):
        self.ringout("load", "robot.toml", "--on", REPAIR, "--acknowledge")
        (self.work / "answers.txt").write_text(
            "cautions = yes\ndisconnect.* = done\nclearance.* = yes\nready.* = go\nacted.* = nothing\n"
            "acted_back.* = nothing\ncheck.* = cant_tell\nrepair.* = done\nprove = quit\n")
        text = self.ringout("find", "robot.toml", "--on", REPAIR, "--answers", "answers.txt", "--trouble", "clamp=nothing",
                            status=1).stdout
        tried = text[text.index("the bench tries it first"):]
        self.assertIn("bench  tries what was mended\n       left to you:", tried)

    def test_without_a_link_the_person_makes_every_check(self):
        (self.work / "answers.txt").write_text("trouble.point = clamp\ntrouble.symptom.clamp = nothing\ntrouble.more = no\n"
                                               "check.* = cant_tell\nrepair.* = not_now\ncall = not_now\nstuck = quit\n")
        said = self.lines("robot.toml", "--answers", "answers.txt", status=1)
        self.assertTrue(all(one["by"] == "person" for one in said if one.get("event") == "entry"))
        self.assertEqual(said[-1]["result"]["trouble"], ["clamp does nothing"])
        asked = [one for one in said if one.get("event") == "ask"]
        checks = {one["id"]: one for one in asked if one["kind"] == "check"}
        for check in ("look_at_the_controller_s_lights", "supply_under_load", "value_that_the_program_sends_to_clamp",
                      "clamp_position_at_rest", "meter_at_an1_while_clamp_position_is_worked"):
            self.assertIn("check." + check, checks)
        for one in checks.values():  # nothing that only a link could tell
            self.assertNotIn("bench", one["instructions"])
            self.assertFalse({"the_controller_does_not_answer"} & {choice["id"] for choice in one["choices"]}, one)
            self.assertTrue(one["caution"], one)
        begin = next(n for n, one in enumerate(said) if one.get("event") == "begin")
        self.assertIn("only its link can tell: link, supply at rest", " ".join(said[begin]["notes"]))
        # What is complained of is asked before a case begins, and a program is told of it.
        self.assertEqual([(one["kind"], one["id"]) for one in said[:begin]],
                         [("complaint", "trouble.point"), ("complaint", "trouble.symptom.clamp"),
                          ("complaint", "trouble.more")])
        self.assertIn("clamp", [choice["id"] for choice in said[0]["choices"]])
        done = self.typed("instead\ncancel\nquit\n", "robot.toml", "--trouble", "clamp=nothing", status=1)
        instead = [one for one in map(json.loads, done.stdout.splitlines()) if one.get("kind") == "instead"][0]
        names = [choice["text"] for choice in instead["choices"]]
        self.assertIn("supply under load", names)
        self.assertFalse([name for name in names if name.startswith("bump of") or name in ("link", "firmware")], names)
        wrong = self.lines("robot.toml", "--trouble", "clmp=nothing", status=2)[-1]["error"]
        self.assertIn("did you mean clamp?", wrong["hint"])
        wrong = self.lines("robot.toml", "--trouble", "clamp=unchanging", status=2)[-1]["error"]
        self.assertIn("wrong way", wrong["hint"])

    def test_what_it_was_is_asked_in_the_words_of_the_suspects_and_of_all_faults(self):
        (self.work / "answers.txt").write_text("check.* = works_now\nrepair.* = works_now\nprove = held\nfound = quit\n")
        said = self.lines("robot.toml", "--answers", "answers.txt", "--trouble", "clamp=nothing", status=1)
        found = [one for one in said if one.get("event") == "ask"][-1]
        self.assertEqual(found["id"], "found")
        suspects = said[-1]["result"]["suspects"]
        choices = {choice["text"]: choice["id"] for choice in found["choices"]}
        self.assertEqual(found["choices"][0]["text"], suspects[0]["text"])
        self.assertLessEqual({one["text"] for one in suspects}, set(choices))
        self.assertGreater(len(choices), 20)
        unlikely = found["choices"][-4]["id"]
        (self.work / "answers.txt").write_text(f"found = {unlikely}\n")
        again = self.lines("robot.toml", "--answers", "answers.txt", "--case", said[0]["case_file"], "--resume")
        self.assertEqual([one["text"] for one in again[-1]["result"]["found"]], [found["choices"][-4]["text"]])

    def test_a_person_at_a_terminal(self):
        case = ("--on", "none", "--trouble", "clamp=nothing", "--case", "mine.case")
        at = AtTerminal(self.work, *case)
        self.assertIn("clamp does nothing", at.read())
        self.assertIn("Likely now", at.answer("t"))       # can't tell
        self.assertIn("Likely now", at.answer("s"))       # skip
        self.assertIn("after 1 step", at.answer("1"))     # the first outcome
        self.assertIn("please give a number", at.answer("93"))
        self.assertIn("When to stop", at.answer("y"))
        self.assertIn("Which one?", at.answer("b"))
        back = at.answer("1")                             # the newest first
        self.assertRegex(back, r"took back: .*: ")
        self.assertNotIn("took back no.", back)
        self.assertNotIn("after 1 step", back)
        self.assertIn("go on with it by --resume", at.answer("q"))
        self.assertEqual(at.end(), 1)
        entries = (self.work / "mine.case").read_text().splitlines()[3:]
        self.assertEqual([line.split("\t")[0] for line in entries], ["could_not_tell", "put_aside", "saw", "took_back"])
        again = AtTerminal(self.work, "--on", "none", "--case", "mine.case", "--resume")
        self.assertIn("taken up where it was left: 4 entries", again.read())
        self.assertIn("work it 5 times in a row", again.answer("w"))
        asked = again.answer("1")
        self.assertIn("What was it in the end?", asked)
        self.assertRegex(asked, r"and \d+ more: write a word of what you look for")
        self.assertIn("nothing matches \"xyzzy\"", again.answer("xyzzy"))
        self.assertRegex(again.answer("wire"), r"(?s) \d+  .*wire.* \d+  .*wire")
        self.assertIn("Closed. The team's history holds 1 case now", again.answer("1"))
        self.assertEqual(again.end(), 0)

    def test_interrupted_without_a_controller_nothing_is_said_of_outputs(self):
        kept = ("--trouble", "clamp=nothing", "--case", "mine.case")
        for words, said in ((kept, "interrupted; the case is kept"), ((), "ringout: interrupted\r\n")):
            at = AtTerminal(self.work, "--on", "none", *words)
            at.read()
            at.process.send_signal(signal.SIGINT)
            shown = at.read()
            self.assertIn(said, shown)
            self.assertNotIn("outputs", shown)
            self.assertEqual(at.end(), 130)

    def test_killed_in_mid_case_it_goes_on_from_the_last_answer(self):
        at = AtTerminal(self.work, "--on", "none", "--trouble", "clamp=nothing", "--case", "mine.case")
        at.read()
        at.answer("1")
        at.answer("t")
        at.process.kill()
        at.end()
        self.assertEqual((self.work / "mine.case").read_text().count("\n"), 5)
        (self.work / "answers.txt").write_text("check.* = quit\nrepair.* = quit\n")
        said = self.lines("robot.toml", "--answers", "answers.txt", "--case", "mine.case", "--resume", status=1)
        self.assertEqual(len(said[0]["kept"]), 2)

    def test_one_case_is_held_by_one_at_a_time(self):
        at = AtTerminal(self.work, "--on", "none", "--trouble", "clamp=nothing", "--case", "mine.case")
        at.read()
        at.answer("t")
        whole = (self.work / "mine.case").read_bytes()
        (self.work / "answers.txt").write_text("check.* = quit\nrepair.* = quit\n")
        second = ("robot.toml", "--answers", "answers.txt", "--case", "mine.case", "--resume")
        refused = self.lines(*second, status=2)[-1]["error"]
        self.assertEqual(refused["id"], "find.case-in-use")
        self.assertIn("mine.case", refused["message"])
        self.assertIn("--case FILE", refused["hint"])
        self.assertEqual((self.work / "mine.case").read_bytes(), whole)
        at.process.kill()
        at.end()
        self.assertEqual(len(self.lines(*second, status=1)[0]["kept"]), 1)

    def test_the_cable_comes_out_in_mid_case(self):
        beside = bench_person.Simulation([commands_test.PROGRAM, "twin", "robot.toml", "--on", REPAIR], self.work)
        self.ringout("load", "robot.toml", "--on", beside.path)
        at = AtTerminal(self.work, "--on", beside.path, "--trouble", "clamp=nothing", "--case", "mine.case")
        self.assertIn("Before anything moves", at.read())  # of the first bump, after all that is only read
        beside.pull_out()
        beside.process.stdin.close()
        beside.process.stdout.close()
        self.assertIn("is gone: the cable is out", at.answer("yes"))
        at.answer("q")
        self.assertEqual(at.end(), 1)
        kept = (self.work / "mine.case").read_text()
        self.assertIn("saw\tbench\tpoint table\tas it should be\n", kept)
        self.assertIn("put_aside\tcheck\tbump of clamp on OUT4\n", kept)  # a cable that came out is not the fault
        (self.work / "answers.txt").write_text("check.* = quit\nrepair.* = quit\n")
        said = self.lines("robot.toml", "--answers", "answers.txt", "--case", "mine.case", "--resume", status=1)
        self.assertEqual(len(said[0]["kept"]), kept.count("\n") - 3)
        text = self.ringout("find", "robot.toml", "--answers", "answers.txt", "--case", "mine.case", "--resume", status=1)
        self.assertIn("kept   point table: as it should be\n", text.stdout)
        self.assertNotIn("not part of this machine", json.dumps(said[0]))

    def test_the_engine_is_measured_on_the_twin(self):
        asked = ("trial", "robot.toml", "--strategy", "best", "--strategy", "fixed-order:hand", "--cases")
        done = self.ringout(*asked, "2", "--json", "--threads", "2")
        *cases, last = [json.loads(line) for line in done.stdout.splitlines()]
        jsonschema.validate(last, json.loads((commands_test.ROOT / "docs/schema/trial.json").read_text()))
        self.assertEqual([one["event"] for one in cases], ["case"] * 2)
        self.assertTrue(any(one["followed"][0]["read_on_the_twin"] > 0 for one in cases), cases)
        self.assertTrue(all(one["followed"][1]["checks_of_the_bench"] == 0 for one in cases), cases)
        again = self.ringout(*asked, "2", "--json", "--threads", "1")
        self.assertEqual(done.stdout, again.stdout)
        text = self.ringout(*asked, "1", "--show-missed").stdout
        self.assertIn("% of the time of fixed-order by hand", text)
        wrong = self.ringout("trial", "robot.toml", "--strategy", "bset", status=2)
        self.assertIn("it is one of", wrong.stderr)


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0], *sys.argv[3:]], verbosity=2)
