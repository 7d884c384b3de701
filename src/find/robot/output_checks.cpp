// What is checked along the path of an output that is complained of, in the order of that path.
#include <fmt/format.h>

#include "find/robot/cautions.h"
#include "find/robot/derivation.h"
#include "find/robot/sight.h"

namespace ringout::faults {

namespace {

bool is_wire_or_plug(const Fault& f) {
  return f.kind == PartKind::wire || f.kind == PartKind::connector;
}

bool is_device(const Fault& f) {
  return f.kind == PartKind::motor || f.kind == PartKind::load || f.kind == PartKind::gear ||
         f.kind == PartKind::mechanism;
}

class OutputChecks {
 public:
  OutputChecks(Derivation& d, const robot::Output& o)
      : d_(d),
        robot_(d.robot),
        o_(o),
        drives_(senses_of(d.robot, o).drives),
        bumps_(drives_ && d.controller == Controller::answers) {}

  void all() {
    operate();
    wiring();
    ground();
    program_value();
    at_port();
    at_connector();
    ohms();
    bump();
    if (drives_) watch();
    if (o_.mechanism) by_hand();
    // On another port nothing ends it where its travel ends: neither its switches nor its limits.
    if (!o_.mechanism || !o_.mechanism->travel) swap_port();
    swap_device();
    if (o_.mechanism) unhook();
  }

 private:
  using Commands = Draft::Commands;
  Draft draft(CheckKind kind, Commands commands, std::vector<Shown> outcomes, std::string name) const {
    Draft out = draft_of(kind, commands, o_.name, std::move(outcomes), std::move(name));
    out.path = o_.name;
    return out;
  }
  // The bench can drive bridges alone, over the link; anything else the program works.
  [[nodiscard]] Commands driver() const { return bumps_ ? Commands::bench : Commands::program; }
  [[nodiscard]] std::string commanding(const std::string& port) const {
    return bumps_ ? "the bench bumps " + port : "the program works " + o_.name;
  }
  // A bump is over before a meter settles.
  [[nodiscard]] const char* highest() const {
    return bumps_ ? ": let the meter hold its highest reading, because a bump is short" : "";
  }
  bool mine(const Fault& f) const { return f.output == &o_ && f.input == nullptr; }
  // After the check before it, or the complaint, a motor may have stalled.
  [[nodiscard]] std::string hot() const {
    return o_.kind == robot::PointKind::bridge_motor ? " " + std::string(caution::hot) : "";
  }

  void operate() {
    Draft x = draft(CheckKind::operate, Commands::program, sight_outcomes(o_.kind), "have the program work " + o_.name);
    x.others = exchange_partners(d_, o_.name);
    x.instructions = fmt::format("Have the program work {} once and look: {}", o_.name, what_to_see(o_));
    add_check(d_, x, [&](const Fault& f) { return operated(robot_, f, o_); });
  }

  void wiring() {
    Draft look = draft(CheckKind::look_wiring, Commands::nobody,
                       {Shown::as_should, Shown::something_seen, Shown::not_drawn, Shown::blocked},
                       fmt::format("look at {} and its wiring", o_.name));
    look.access = &o_.access;
    look.caution += hot();
    look.instructions = fmt::format(
        "Look along the lead of {} from {} to the device, at the plug and at what moves: loose, chafed, "
        "unplugged, in another socket, of another type than drawn, or something in the way?",
        o_.name, o_.port);
    add_check(d_, look, [&](const Fault& f) { return looked_at(f, o_); });
    Draft tug = draft(CheckKind::tug, Commands::nobody, {Shown::as_should, Shown::something_seen},
                      fmt::format("tug at the lead of {}", o_.name));
    tug.access = &o_.access;
    tug.instructions =
        fmt::format("Pull gently at each conductor of {} at its terminal and plug: does one give?", o_.name);
    add_check(d_, tug, [&](const Fault& f) -> Shows {
      if (!mine(f) || !is_wire_or_plug(f)) return {};
      if (f.mode == Mode::intermittent) return {{Shown::something_seen, 0.8}, {Shown::as_should, 0.2}};
      if (f.mode == Mode::open && f.kind == PartKind::connector)
        return {{Shown::something_seen, 0.95}, {Shown::as_should, 0.05}};
      if (f.mode == Mode::open) return {{Shown::something_seen, 0.6}, {Shown::as_should, 0.4}};
      return {};
    });
  }

  void ground() {
    Draft x = draft(CheckKind::continuity_return, Commands::nobody, {Shown::as_should, Shown::open_circuit},
                    "continuity of the return of " + o_.name);
    x.access = &o_.access;
    x.instructions = fmt::format(
        "Supply off, plug of {} pulled. Measure ohms of its second conductor from the terminal at {} to the plug: as "
        "low as the wire, or open?",
        o_.name, o_.port);
    add_check(d_, x, [&](const Fault& f) -> Shows {
      if (!mine(f) || !is_wire_or_plug(f)) return {};
      if (f.mode == Mode::open) return {{Shown::open_circuit, 0.5}, {Shown::as_should, 0.5}};
      if (f.mode == Mode::intermittent) return {{Shown::open_circuit, 0.2}, {Shown::as_should, 0.8}};
      return {};
    });
  }

  void program_value() {
    std::vector<Shown> outcomes{Shown::as_should, Shown::weak, Shown::wrong_way, Shown::unasked, Shown::nothing};
    Draft x = draft(CheckKind::program_value, Commands::bench, outcomes, "value that the program sends to " + o_.name);
    x.instructions = fmt::format(
        "Quit this case (it is kept) and run the program with 'ringout run' up to where it should work {}; it shows "
        "its line and what it waits for. Does that line send the value that you expect, whatever the device does?",
        o_.name);
    x.by_hand = Draft::ByHand{
        CheckKind::operate,
        fmt::format("Have the program print what it sends to {}, or read its lines up to there: is it the value that "
                    "you expect?",
                    o_.name),
        caution::moves};
    add_check(d_, x, [&](const Fault& f) -> Shows {
      if (f.kind == PartKind::program) return {{Shown::nothing, 0.6}, {Shown::as_should, 0.4}};
      if (f.kind != PartKind::command || f.output != &o_) return {};
      return f.mode == Mode::sends_little ? Shows{{Shown::weak, 1.0}} : operated(robot_, f, o_);
    });
  }

  // Where the program drives, its own faults show too: they reach as far as its commands do.
  [[nodiscard]] Shows driven(const Fault& f) const { return bumps_ ? watched(robot_, f, o_) : operated(robot_, f, o_); }

  // Volts under command: what reaches here of what `driven` says, without what lies behind.
  Shows volts(const Fault& f, bool behind_wire) const {
    if (mine(f) && (is_device(f) || (is_wire_or_plug(f) && !behind_wire)))
      return f.mode == Mode::shorted ? Shows{{Shown::nothing, 1.0}} : Shows{};
    if (f.kind == PartKind::place && !behind_wire) return {};
    Shows out = driven(f);
    for (Likely& l : out) {
      if (l.shown == Shown::elsewhere) l.shown = Shown::nothing;  // what drives another port does not come here
    }
    return out;
  }

  void at_port() {
    Draft x = draft(CheckKind::meter_port, driver(), {Shown::as_should, Shown::weak, Shown::at_times, Shown::nothing},
                    fmt::format("meter at {} under command", o_.port));
    x.access = &robot_.board_access;
    x.instructions = fmt::format("Hold the meter's probes on the two terminals of {}; {}. Note the volts{}.", o_.port,
                                 commanding("it"), highest());
    x.caution = std::string(caution::live) + " " + caution::moves;
    add_check(d_, x, [&](const Fault& f) { return volts(f, false); });
  }

  void at_connector() {
    Draft x = draft(CheckKind::meter_connector, driver(),
                    {Shown::as_should, Shown::weak, Shown::at_times, Shown::wrong_way, Shown::nothing},
                    fmt::format("meter at the device's end of {}'s lead", o_.name));
    x.access = &o_.access;
    x.instructions = fmt::format(
        "Hold the probes on the device's terminals of {}, red on the first; {}. Note the volts and their sign{}.",
        o_.name, commanding(o_.port), highest());
    x.caution = std::string(caution::live) + " " + caution::moves;
    add_check(d_, x, [&](const Fault& f) { return volts(f, true); });
  }

  void ohms() {
    Draft x = draft(CheckKind::meter_device, Commands::nobody, {Shown::as_should, Shown::shorted, Shown::open_circuit},
                    "ohms of " + o_.name);
    x.access = &o_.access;
    x.instructions = fmt::format(
        "Supply off, plug of {} pulled. Measure ohms between the device's two terminals and compare with its data "
        "sheet.",
        o_.name);
    x.caution += hot();
    add_check(d_, x, [&](const Fault& f) -> Shows {
      if (!mine(f) || (f.kind != PartKind::motor && f.kind != PartKind::load)) return {};
      if (f.mode == Mode::dead) return {{Shown::open_circuit, 1.0}};
      if (f.mode == Mode::shorted) return {{Shown::shorted, 1.0}};
      return {};
    });
  }

  void bump() {
    const Senses senses = senses_of(robot_, o_);
    if (!senses.any()) return;
    Draft x =
        draft(CheckKind::bump, driver(), bump_outcomes(senses), fmt::format("bump of {} on {}", o_.name, o_.port));
    x.others = exchange_partners(d_, o_.name);
    x.origin.protection = o_.fed_by;
    x.instructions = fmt::format("The bench moves what is on {} a little and reads current and sensors.", o_.port);
    add_check(d_, x, [&](const Fault& f) { return bump_shows(robot_, f, o_); });
  }

  void watch() {
    Draft x =
        draft(CheckKind::watch_bump, driver(), sight_outcomes(o_.kind), fmt::format("watch a bump of {}", o_.port));
    x.others = exchange_partners(d_, o_.name);
    x.instructions = fmt::format("The bench moves what is on {} a little while you look: {}", o_.port, what_to_see(o_));
    add_check(d_, x, [&](const Fault& f) { return watched(robot_, f, o_); });
  }

  void by_hand() {
    Draft x = draft(CheckKind::turn_by_hand, Commands::nobody,
                    {Shown::as_should, Shown::spins, Shown::hard, Shown::blocked}, "turn " + o_.name + " by hand");
    x.access = &o_.access;
    x.instructions = fmt::format(
        "Supply off. Turn the mechanism of {} a little by hand, at the motor's side where it locks "
        "itself: free, hard, stuck, or does one side turn without the other?",
        o_.name);
    x.caution = caution::loaded + hot();
    add_check(d_, x, [&](const Fault& f) -> Shows {
      if (!mine(f)) return {};
      if (f.mode == Mode::jammed) return {{Shown::blocked, 0.9}, {Shown::hard, 0.1}};
      if (f.mode == Mode::stiff) return {{Shown::hard, 0.8}, {Shown::as_should, 0.2}};
      if (f.mode == Mode::slipping) return {{Shown::spins, 0.8}, {Shown::as_should, 0.2}};
      return {};
    });
  }

  [[nodiscard]] Shows stays(const Fault& f, bool gone) const { return gone ? Shows{} : still_there(driven(f)); }

  void swap_port() {
    Draft x = draft(CheckKind::swap_port, driver(), {Shown::as_should, Shown::still_wrong},
                    fmt::format("{} on a port that works", o_.name));
    x.access = &robot_.board_access;
    x.instructions = fmt::format(
        "Supply off. Plug the lead of {} into a port of the same kind that is known to work; supply on, {}. Put it "
        "back afterwards.",
        o_.name,
        bumps_ ? "move what is drawn on that port with 'ringout jog' (quit this case first, it is kept) and look"
               : "have the program work what is drawn on that port and look");
    x.caution = std::string(caution::known_good) + " " + caution::moves;
    add_check(d_, x, [&](const Fault& f) {
      const bool feed = f.protection != nullptr && f.protection->name == o_.fed_by;
      // The command is the other point's, which its own sensors do not hold.
      const bool command = f.kind == PartKind::command || f.input != nullptr;
      return stays(
          f, f.kind == PartKind::port || f.kind == PartKind::bank || f.kind == PartKind::place || feed || command);
    });
  }

  void swap_device() {
    Draft x = draft(CheckKind::swap_device, driver(), {Shown::as_should, Shown::still_wrong},
                    fmt::format("a known-good device on the lead of {}", o_.name));
    x.access = &o_.access;
    x.instructions = fmt::format(
        "Supply off. Plug a device of the same type that is known to work on the lead of {}, its "
        "shaft free; supply on, {}.",
        o_.name, commanding(o_.port));
    x.caution = std::string(caution::known_good) + " " + caution::moves + hot();
    add_check(d_, x, [&](const Fault& f) { return stays(f, mine(f) && is_device(f)); });
  }

  void unhook() {
    Draft x = draft(CheckKind::unhook, driver(), {Shown::as_should, Shown::still_wrong},
                    fmt::format("unhook the mechanism of {}", o_.name));
    x.access = &o_.access;
    x.instructions = fmt::format(
        "Supply off. Take the mechanism of {} off its gear's output shaft; supply on, {}: does the shaft turn freely "
        "now?",
        o_.name, commanding(o_.port));
    x.caution = std::string(caution::loaded) + " " + caution::moves + hot();
    add_check(d_, x, [&](const Fault& f) { return stays(f, mine(f) && f.kind == PartKind::mechanism); });
  }

  Derivation& d_;
  const robot::Robot& robot_;
  const robot::Output& o_;
  bool drives_;  // the bench can, with a link
  bool bumps_;   // it does
};

}  // namespace

void add_output_checks(Derivation& d) {
  for (const robot::Output* o : d.outputs) OutputChecks(d, *o).all();
}

}  // namespace ringout::faults
