"""The table of deviations_test.py: what each deviations file is, and so what must be answered about it."""
import dataclasses
import tomllib

OWNERS = {"mechanics": "Mira", "wiring": "Wim", "programming": "Petra"}


@dataclasses.dataclass
class Point:
    """What must be said about one point. As it stands: a point that is as drawn."""
    verdict: str = "proved"
    condition: str = "answers"
    sign: str = "as drawn"
    found_port: str | None = ""  # "" : the drawn port
    found: str = ""  # as the agreement table writes it; "": from port, sign and condition
    drawn: str = ""
    settled_by: str | None = None
    what_to_do: tuple = ()
    person_looked: bool = False
    sure: bool = True  # the tool says so itself

    @property
    def person(self):
        return OWNERS.get(self.settled_by, "")


@dataclasses.dataclass
class Prove:
    points: dict = dataclasses.field(default_factory=dict)  # those that are not proved
    asked: tuple = ()  # proved, but only because a person looked
    corrections: tuple = ()
    weak_supply: bool = False


@dataclasses.dataclass
class Bad:
    reading: tuple = ()
    remedy: tuple = ()
    not_in_reading: tuple = ()


@dataclasses.dataclass
class Ready:
    bad: dict = dataclasses.field(default_factory=dict)  # step -> Bad; all others are good, or not done after it


@dataclasses.dataclass
class Refused:
    status: int
    id: str
    hint: tuple = ()


@dataclasses.dataclass
class Row:
    name: str
    before_load: Ready | None = None
    load_refused: Refused | None = None
    prove_refused: Refused | None = None  # before the table is loaded
    prove_stopped: Refused | None = None  # after it
    ready: Ready | None = None
    prove: Prove | None = None


def wiring(**what):
    return Point(verdict="disagrees", settled_by="wiring", **what)


def no_current(*words):
    """Neither current nor motion: where it is plugged in cannot be said, and which way it would turn neither."""
    return Point(verdict="silent", condition="no current", sign="unknown", found_port=None, found="no answer",
                 settled_by="wiring", what_to_do=words)


def untested():
    """A sensor of something that did not move has not been tested; nobody is to blame for it."""
    return Point(verdict="untested", condition="untested", sign="unknown", found_port=None, found="not tested")


GO = Ready()
SWITCHES = {"lift_bottom": wiring(found_port="SW2", what_to_do=("from SW2 to SW1", 'port = "SW2"')),
            "lift_top": wiring(found_port="SW1", what_to_do=("from SW1 to SW2", 'port = "SW1"'))}
SWITCHES_CORRECTED = (("lift_bottom", "port", '"SW2"'), ("lift_top", "port", '"SW1"'))

ROWS = [
    # Two pairs of leads exchanged; everything else is as drawn, the clamp's potentiometer too. Only a person sees mist.
    Row("connector_repair", ready=GO, prove=Prove(
        points={"clamp": wiring(found_port="OUT6", what_to_do=("from OUT6 to OUT4", 'port = "OUT6"')),
                "mist_pump": wiring(found_port="OUT4", what_to_do=("from OUT4 to OUT6", 'port = "OUT4"'),
                                    person_looked=True), **SWITCHES},
        corrections=(("clamp", "port", '"OUT6"'), ("mist_pump", "port", '"OUT4"'), *SWITCHES_CORRECTED))),
    # The encoders' plugs, not their motors: each count is what its own drawing says, on the other's port.
    Row("exchanged", ready=GO, prove=Prove(
        points={"left_encoder": wiring(found_port="ENC2", what_to_do=("from ENC2 to ENC1", 'port = "ENC2"')),
                "right_encoder": wiring(found_port="ENC1", what_to_do=("from ENC1 to ENC2", 'port = "ENC1"'))},
        corrections=(("left_encoder", "port", '"ENC2"'), ("right_encoder", "port", '"ENC1"')))),
    Row("on_port", prove=Prove(
        points={"belt": wiring(found_port="OUT8", what_to_do=("from OUT8 to OUT5", 'port = "OUT8"'))},
        corrections=(("belt", "port", '"OUT8"'),))),
    # Motor leads or encoder channels: the count is the same for both, and a belt runs alike both ways: a person looked.
    Row("leads_reversed", ready=GO, prove=Prove(
        points={"belt": wiring(sign="reversed", person_looked=True,
                               what_to_do=("exchange the two leads", "reversed = true"))},
        corrections=(("belt", "reversed", "true"),))),
    # The same, but the carriage's weight tells a rising lift from a sinking one: 8 kg on a screw of 8 mm a turn take
    # 0.10 N*m, friction 0.14 N*m. So nobody need look.
    Row("channels_swapped", ready=GO, prove=Prove(
        points={"lift_encoder": wiring(sign="reversed", what_to_do=("exchange the two channels", "reversed = true"))},
        corrections=(("lift_encoder", "reversed", "true"),))),
    # One channel rocks by one count: it answers on its port, and cannot tell which way. The wheel itself is in order.
    Row("channel_dead", ready=GO, prove=Prove(
        points={"left_encoder": wiring(condition="one channel dead", sign="unknown", found="ENC1, one channel dead",
                                       what_to_do=("one channel", "leads", "ENC1"))},
        asked=("drive_left",))),
    # What the motor cannot move, a person turns, so that its sensor is proved all the same.
    Row("open_wire", prove=Prove(
        points={"clamp": no_current("fuse_deck", "lead")}, asked=("clamp_position",))),
    # The lead opens for a good third of the bumps: the motor is where it is drawn, and its encoder is in order.
    Row("intermittent_wire", prove=Prove(
        points={"drive_right": wiring(condition="intermittent", found="OUT2 reversed, intermittent",
                                      what_to_do=("comes and goes", "lead"))})),
    # One cause, two silent outputs, both led back to the same fuse. The first load on the belt's port takes no current.
    Row("blown_protection",
        ready=Ready({"load": Bad(reading=("fuse_deck: no current at OUT4, OUT5",), remedy=("fuse_deck",))}),
        prove=Prove(points={"clamp": no_current("fuse_deck"), "belt": no_current("fuse_deck")},
                    asked=("clamp_position", "belt_encoder"))),
    # Charge and age of the battery are no point's fault. 10 % are too little to begin with; proving shows its age too.
    Row("weak_battery",
        ready=Ready({"supply": Bad(reading=("low: about", "% charge"), remedy=("charge the battery", "20 %"))}),
        prove=Prove(weak_supply=True)),
    Row("dead_device", prove=Prove(
        asked=("belt_encoder",),
        points={"belt": no_current("fuse_deck", "winding"),
                "range_ahead": Point(verdict="silent", condition="silent", sign="unknown", found_port=None,
                                     found="no answer", settled_by="wiring", what_to_do=("range_ahead", "AN2"))})),
    # A motor of another kind in the same gear: where and which way are as drawn, how strongly is not. From the outside an
    # encoder that counts too little looks alike, so both points are named.
    Row("wrong_device", prove=Prove(
        points={"drive_left": Point(verdict="disagrees", condition="weak", found="OUT1, weak", settled_by="mechanics",
                                    what_to_do=("another motor",)),
                "left_encoder": Point(verdict="disagrees", condition="weak", found="ENC1, weak",
                                      settled_by="mechanics", what_to_do=("times as far",))})),
    # Current and no motion. Its encoder was not turned, so it is neither proved nor blamed; what is held is freed before
    # anybody turns it.
    Row("jammed", ready=GO, prove=Prove(
        points={"belt": Point(verdict="disagrees", condition="jammed", sign="unknown", found="OUT5, jammed",
                              settled_by="mechanics", what_to_do=("free belt", "may be hot")),
                "belt_encoder": untested()})),
    # The same two points as for another motor; how weak it is tells the motor, and not the load.
    Row("weak_device", ready=GO, prove=Prove(
        points={"belt": Point(verdict="disagrees", condition="weak", found="OUT5, weak", settled_by="mechanics",
                              what_to_do=("another motor",)),
                "belt_encoder": Point(verdict="disagrees", condition="weak", found="ENC4, weak",
                                      settled_by="mechanics", what_to_do=("times as far",))})),
    # Four times the friction: it moves less than half as far, and its current is above what is drawn by as much as that
    # friction asks for. Its potentiometer tells too little as well, so it is named too.
    Row("stiff", ready=GO, prove=Prove(
        points={"clamp": Point(verdict="disagrees", condition="drags", found="OUT4, drags", settled_by="mechanics",
                               what_to_do=("clamp drags", "current", "turn it by hand", "another motor")),
                "clamp_position": Point(verdict="disagrees", condition="weak", found="AN1, weak",
                                        settled_by="mechanics", what_to_do=("friction",))})),
    # The motor turns as far as without its load and with as little current, the encoder on its shaft with it: both are
    # where they are drawn. That the carriage stands still is what the person saw.
    Row("slipping", ready=GO, prove=Prove(
        points={"lift": Point(verdict="disagrees", condition="slips", found="OUT3, slips", settled_by="mechanics",
                              person_looked=True, what_to_do=("coupling", "set screw", "belt", "gear"))})),
    # No current at the terminals: the port itself is among what is to be looked at.
    Row("dead_port", ready=GO, prove=Prove(
        points={"clamp": no_current("fuse_deck", "port")}, asked=("clamp_position",))),
    # Far too much current, more than the pump could take, and no mist.
    Row("shorted_wire",
        ready=Ready({"load": Bad(reading=("fuse_mist: ", "A where ", "A are drawn", "OUT6"),
                                 remedy=("mist_pump", "measure across its leads", "short"),
                                 not_in_reading=("would",))}),
        prove=Prove(points={"mist_pump": wiring(
            condition="shorted", sign="unknown", found="OUT6, shorted",
            what_to_do=("short at OUT6", "Supply off", "measure across the leads"))})),
    Row("stuck", ready=GO, prove=Prove(
        points={"tray_present": Point(verdict="silent", condition="stuck", sign="unknown", found_port=None,
                                      found="no answer", settled_by="wiring",
                                      what_to_do=("contact and lead", "SW3"))})),
    # All analogue sensors read nothing at once, which says it before anything moves: one cause for all of them.
    Row("no_sensor_supply",
        ready=Ready({"inputs": Bad(
            reading=("clamp_position reads 0.00 V", "range_ahead reads 0.00 V"),
            remedy=("measure the sensors' supply", "before anything else", "clamp_position, range_ahead"),
            not_in_reading=("lift", "tray_present"))}),
        prove_stopped=Refused(1, "session.no-sensor-supply",
                              ("measure the sensors' supply", "clamp_position, range_ahead"))),
    Row("end_switches_exchanged", ready=GO, prove=Prove(points=SWITCHES, corrections=SWITCHES_CORRECTED)),
    # The controller's own: nothing has been loaded, except where the deviation itself is what was loaded long ago.
    Row("old_firmware", before_load=Ready({
        "firmware": Bad(reading=("0.0.9",), remedy=("build the firmware", "write it to the controller")),
        "table": Bad(reading=("no valid table",), remedy=("'load'",))}),
        prove_refused=Refused(1, "session.other-firmware", ("build the firmware",)),
        load_refused=Refused(1, "session.other-firmware", ("build the firmware",))),
    # Clamp and belt on each other's ports; nothing else differs between the two wirings. Loading puts it right.
    Row("stale_table",
        before_load=Ready({"table": Bad(
            reading=("clamp", "belt"), remedy=("'load'",),
            not_in_reading=("drive_left", "drive_right", "lift", "mist_pump", "warning_lamp", "encoder",
                            "tray_present", "clamp_position", "range_ahead"))}),
        prove_refused=Refused(1, "session.other-table", ("'load'",)), ready=GO),
    # Other names: the program's build is asked for, and a table for these names is refused.
    Row("other_program",
        before_load=Ready({"program": Bad(remedy=("other names", "build")),
                           "table": Bad(reading=("no valid table",), remedy=("first the firmware", "'load'"))}),
        prove_refused=Refused(1, "session.other-program", ("build",)),
        load_refused=Refused(1, "link.table-other-names", ("build",))),
]


def drawn_points(root, wanted):
    """What must be said about every point of the robot file, in its order."""
    robot = tomllib.loads((root / "examples" / "tray_carrier" / "robot.toml").read_text())
    points = {}
    for drawn in robot["output"] + robot["input"]:
        reverse = drawn.get("reversed", False)
        point = dataclasses.replace(wanted.points.get(drawn["name"], Point()))
        point.person_looked = point.person_looked or drawn["name"] in wanted.asked
        point.drawn = drawn["port"] + (" reversed" if reverse else "")
        if point.found_port == "":
            point.found_port = drawn["port"]
        if point.found == "":
            turned = reverse != (point.sign == "reversed")
            point.found = point.found_port + (" reversed" if turned else "")
        points[drawn["name"]] = point
    return points
