"""A person at a bench, played by a program: she reads the screen of one command behind a pseudo-terminal, answers by
number, works the hands beside a simulated robot, and holds the run control by a key that repeats.

Nothing here goes by time: each act answers something that was read. The only clock is the key's repetition, and the
patience after which a command that has hung is given up.
"""
import os
import pty
import re
import select
import signal
import subprocess
import time
import tomllib

KEY_REPEATS_S = 0.03   # a keyboard's usual rate
PATIENCE_S = 300       # for one command, on the slowest machine
NOTICED_S = 20         # a tool that does not see by itself what a hand did is told

PROMPTS = re.compile("|".join([
    r"(?P<cautions>Write yes: *$)",
    r"(?P<question>number: *$)",
    r"(?P<hands>  d: done    c: cannot be done\n)",
    r"(?P<hold>hold the run control\n)",
    r"(?P<watch>watch the robot: [^\n]*\n)",
]))
CHOICE = re.compile(r"^ +(\d+)  (.+)$", re.MULTILINE)
SEEN = re.compile(r"^(\w+) (moved its positive way|moved its negative way|was on)")


class Simulation:
    """A simulated robot behind a pseudo-terminal, and the hands and eyes beside it."""

    def __init__(self, words, folder):
        self.process = subprocess.Popen(words, cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        self.unread = b""
        self.gone = False
        self.path = self.line().split()[-1]
        while not self.line().startswith("hands beside it"):
            pass

    def line(self):
        """The next line it prints, waited for."""
        give_up = time.monotonic() + PATIENCE_S
        while b"\n" not in self.unread:
            left = give_up - time.monotonic()
            if left <= 0 or not select.select([self.process.stdout], [], [], left)[0]:
                raise AssertionError("the simulated robot says nothing")
            more = os.read(self.process.stdout.fileno(), 4096)
            if not more:
                raise AssertionError("the simulated robot has ended")
            self.unread += more
        line, self.unread = self.unread.split(b"\n", 1)
        return line.decode()

    def ask(self, words):
        self.process.stdin.write((words + "\n").encode())
        self.process.stdin.flush()
        return self.line()

    def do(self, words):
        if self.gone:
            return
        answer = self.ask(words)
        if answer.startswith(("cannot", "not understood")):
            raise AssertionError(f"{words}: {answer}")

    def look(self):
        """What acted since the last look: name and direction, +1, -1 or 0 (on)."""
        lines = [self.ask("look")]
        # One line for each thing seen; the answer to a line that cannot be understood ends the list.
        mark = "end of the list"
        self.process.stdin.write((mark + "\n").encode())
        self.process.stdin.flush()
        while not lines[-1].startswith("not understood"):
            lines.append(self.line())
        way = {"moved its positive way": 1, "moved its negative way": -1, "was on": 0}
        seen = [SEEN.match(line) for line in lines]
        return [(m.group(1), way[m.group(2)]) for m in seen if m]

    def pull_out(self):
        """As when the cable comes out: nothing behind the port any more."""
        self.gone = True
        self.process.kill()
        self.process.wait()

    def end(self):
        self.process.send_signal(signal.SIGINT)
        self.process.stdin.close()
        self.process.wait(timeout=60)
        self.process.stdout.close()
        return self.process.returncode


class Person:
    """Knows the robot file as people know it: what to press where, which way is which."""

    def __init__(self, simulation, robot_file):
        self.simulation = simulation
        self.surprises = {}  # what happens, once, when a text comes up on the screen
        robot = tomllib.loads(robot_file.read_text())
        self.points = [point["name"] for point in robot["output"] + robot["input"]]
        self.sensor_for = {point["hand_action"]: point["name"] for point in robot["input"] if "hand_action" in point}
        self.means = {point["name"]: point.get("positive_means", "") for point in robot["output"]}

    def work(self, words, folder):
        """Runs one command at a terminal until it ends; its exit status, and all that its screen showed."""
        screen, terminal = pty.openpty()
        environment = dict(os.environ, TERM="dumb", NO_COLOR="1", COLUMNS="100")
        command = subprocess.Popen(words, cwd=folder, stdin=terminal, stdout=terminal, stderr=terminal,
                                   close_fds=True, env=environment)
        os.close(terminal)
        self.screen, self.shown, self.unread = screen, "", ""
        self.holding, self.worked, self.tell_done_at = False, None, None
        give_up = time.monotonic() + PATIENCE_S
        try:
            while self.glance():
                if time.monotonic() > give_up:
                    raise AssertionError("the command does not end\n" + self.shown)
            return command.wait(timeout=PATIENCE_S), self.shown
        finally:
            if command.poll() is None:
                command.kill()
                command.wait()
            os.close(screen)

    def glance(self):
        """Reads what has come, acts on it, and presses the run control again while she holds it."""
        if select.select([self.screen], [], [], KEY_REPEATS_S)[0]:
            try:
                text = os.read(self.screen, 65536).decode(errors="replace").replace("\r", "")
            except OSError:  # the command has ended and nobody has the terminal any more
                return False
            if not text:
                return False
            self.shown += text
            self.unread += text
            for sign in [sign for sign in self.surprises if sign in self.shown]:
                self.surprises.pop(sign)()
            while prompt := PROMPTS.search(self.unread):
                before = self.unread[:prompt.start()]
                self.unread = self.unread[prompt.end():]
                getattr(self, "on_" + prompt.lastgroup)(before)
        if self.holding:
            self.type(" ")
        elif self.tell_done_at is not None and time.monotonic() > self.tell_done_at:
            self.tell_done_at = None
            self.type("d")
        return True

    def type(self, text):
        try:
            os.write(self.screen, text.encode())
        except OSError:
            pass  # it has just ended; the next glance says so

    def on_cautions(self, _):
        self.let_go()
        self.type("yes\n")

    def on_hold(self, _):
        self.let_go()
        self.holding = True

    def on_watch(self, _):
        self.simulation.look()  # what was seen until now has nothing to do with what comes

    def on_question(self, before):
        self.let_go()
        if before.endswith("please give a number"):
            raise AssertionError("an answer was not taken\n" + self.shown)
        choices = {text: number for number, text in CHOICE.findall(before)}
        self.type(self.answer(before, choices) + "\n")

    def answer(self, question, choices):
        if "yes, it is there" in choices:
            return choices["yes, it is there"]
        seen = self.simulation.look()
        if not seen:
            return choices["nothing"]
        name, way = seen[0]
        wanted = f'{name}: the opposite of "{self.means[name]}"' if way < 0 else f"{name}: {self.means[name]}"
        for text, number in choices.items():
            if text == wanted or (way == 0 and text.startswith(name + ": ")):
                return number
        return choices["something else"]

    def on_hands(self, before):
        """A hand action: she does it. Working a sensor is noticed by the tool; a disconnect is reported by a key."""
        self.let_go()
        asked = " ".join(before.split())
        if "open the supply disconnect" in asked or "close the supply disconnect" in asked:
            self.simulation.do("open disconnect" if "open the supply" in asked else "close disconnect")
            self.type("d")
            return
        if self.worked is not None:  # "let go"
            self.simulation.do("release " + self.worked)
            self.worked = None
        else:
            self.worked = next(name for action, name in self.sensor_for.items() if action in asked)
            self.simulation.do("press " + self.worked)
        self.tell_done_at = time.monotonic() + NOTICED_S

    def let_go(self):
        self.holding = False
        self.tell_done_at = None
