// What is checked along the path of an input that is complained of, from what it senses to the program.
#include <fmt/format.h>

#include <algorithm>

#include "find/robot/cautions.h"
#include "find/robot/derivation.h"
#include "find/robot/sight.h"

namespace ringout::faults {

namespace {

class InputChecks {
 public:
  InputChecks(Derivation& d, const robot::Input& i)
      : d_(d), robot_(d.robot), i_(i), contact_(i.kind == robot::PointKind::switch_input) {}

  void all() {
    operate();
    wiring();
    sensor_supply();
    by_hand();
    signal();
    response(i_);
    if (!contact_) neighbour();
    at_rest(i_);
    continuity();
    swap_port();
    swap_sensor();
  }

  // Of a sensor that watches an output complained of: enough to tell whether it is the sensor.
  void briefly() {
    by_hand();
    signal();
    at_rest(i_);
    continuity();
  }

 private:
  using Commands = Draft::Commands;
  Draft draft(CheckKind kind, Commands commands, std::vector<Shown> outcomes, std::string name) const {
    Draft out = draft_of(kind, commands, i_.name, std::move(outcomes), std::move(name));
    out.path = i_.name;
    return out;
  }
  bool mine(const Fault& f) const { return f.input == &i_; }

  // Another sensor than the one complained of: only what is shared shows in it.
  void beside(Draft& x, const robot::Input& input) const {
    if (&input == &i_) return;
    x.path = "beside " + i_.name;
    x.healthy = healthy_neighbour(x.origin.outcomes);
    x.draws = Draft::Draws::others_too;
  }

  void operate() {
    Draft x =
        draft(CheckKind::operate, Commands::program, reading_outcomes(), "see what the program reads from " + i_.name);
    x.instructions = fmt::format("Run the program up to where it reads {} and look at the value.", i_.name);
    add_check(d_, x, [&](const Fault& f) { return read(robot_, f, i_); });
  }

  void wiring() {
    Draft look =
        draft(CheckKind::look_wiring, Commands::nobody, {Shown::as_should, Shown::something_seen, Shown::not_drawn},
              fmt::format("look at {} and its wiring", i_.name));
    look.access = &i_.access;
    look.instructions = fmt::format(
        "Look along the lead of {} from {} to the sensor, at its plug and at how it is held: loose, chafed, "
        "unplugged, in another socket, of another type than drawn, out of place?",
        i_.name, i_.port);
    add_check(d_, look, [&](const Fault& f) -> Shows {
      const auto seen = [](double chance, Shown shown = Shown::something_seen) -> Shows {
        return {{shown, chance}, {Shown::as_should, 1 - chance}};
      };
      if (f.kind == PartKind::place && (f.input == &i_ || f.other_input == &i_)) return seen(0.4, Shown::not_drawn);
      if (!mine(f)) return {};
      if (f.kind == PartKind::connector) return seen(f.mode == Mode::open ? 0.8 : 0.3);
      if (f.kind == PartKind::sensor_wire) return seen(0.35);
      if (f.mode == Mode::misplaced || f.mode == Mode::slipping) return seen(0.6);
      if (f.mode == Mode::wrong_type) return seen(0.3, Shown::not_drawn);
      return {};
    });
    Draft tug = draft(CheckKind::tug, Commands::nobody, {Shown::as_should, Shown::something_seen},
                      fmt::format("tug at the lead of {}", i_.name));
    tug.access = &i_.access;
    tug.instructions =
        fmt::format("Pull gently at each conductor of {} at its terminal and plug: does one give?", i_.name);
    add_check(d_, tug, [&](const Fault& f) -> Shows {
      if (!mine(f) || (f.kind != PartKind::connector && f.kind != PartKind::sensor_wire) || f.mode == Mode::shorted)
        return {};
      const double chance = f.mode == Mode::intermittent ? 0.8 : f.kind == PartKind::connector ? 0.95 : 0.6;
      return {{Shown::something_seen, chance}, {Shown::as_should, 1 - chance}};
    });
  }

  void sensor_supply() {
    if (contact_) return;
    Draft x = draft(CheckKind::meter_sensor_supply, Commands::nobody, {Shown::as_should, Shown::none},
                    "meter at the supply of " + i_.name);
    x.access = &i_.access;
    x.instructions =
        fmt::format("Measure the voltage between supply and ground at the sensor's end of {}'s lead.", i_.name);
    x.caution = caution::live;
    add_check(d_, x, [&](const Fault& f) -> Shows {
      if (f.kind == PartKind::sensor_supply || f.kind == PartKind::board) return {{Shown::none, 1.0}};
      const bool lead = f.kind == PartKind::connector || f.kind == PartKind::sensor_wire;
      if (mine(f) && lead && f.mode == Mode::open) return {{Shown::none, 0.6}, {Shown::as_should, 0.4}};
      return {};
    });
  }

  std::vector<Shown> hand_outcomes() const {
    if (contact_) return {Shown::as_should, Shown::at_times, Shown::elsewhere, Shown::stays_open, Shown::stays_closed};
    if (i_.kind == robot::PointKind::encoder)
      return {Shown::as_should,   Shown::weak,      Shown::at_times, Shown::wrong_way,
              Shown::one_channel, Shown::elsewhere, Shown::silent};
    return {Shown::as_should, Shown::weak, Shown::at_times, Shown::wrong_way, Shown::elsewhere, Shown::silent};
  }

  void by_hand() {
    Draft x = draft(CheckKind::work_sensor, Commands::nobody, hand_outcomes(), "work " + i_.name + " by hand");
    x.others = exchange_partners(d_, i_.name);
    x.access = i_.hand_action.empty() ? &i_.access : nullptr;
    // A controller without a supply of its own reads nothing while the supply is off.
    const bool alive_without = robot_.board.usb_powered;
    const std::string so = alive_without              ? "Supply off, controller alive"
                           : i_.senses_output.empty() ? "Supply on, nothing commanded"
                                                      : "Supply off, unplug " + i_.senses_output + ", supply on again";
    x.instructions =
        fmt::format("{}: {}; the bench reads it.", so,
                    i_.hand_action.empty() ? fmt::format("turn what {} senses by hand", i_.name) : i_.hand_action);
    x.caution = alive_without ? caution::loaded : std::string(caution::worked_live) + " " + caution::live;
    add_check(d_, x, [&](const Fault& f) { return turned_by_hand(input_shows(f, i_)); });
  }

  // Without the controller's word: what reaches its port, by the meter.
  void signal() {
    if (d_.controller == Controller::answers || i_.kind == robot::PointKind::bus_device) return;
    const bool encoder = i_.kind == robot::PointKind::encoder;
    std::vector<Shown> outcomes{Shown::as_should, Shown::at_times, Shown::silent};
    if (contact_) outcomes = {Shown::as_should, Shown::at_times, Shown::stays_open, Shown::stays_closed};
    if (encoder) outcomes.insert(outcomes.begin() + 2, Shown::one_channel);
    Draft x = draft(CheckKind::meter_signal, Commands::nobody, std::move(outcomes),
                    fmt::format("meter at {} while {} is worked", i_.port, i_.name));
    x.access = &robot_.board_access;
    x.instructions = fmt::format(
        "Controller on, nothing commanded: hold the meter between the signal and the ground terminal of {} and work {} "
        "by hand: {}?",
        i_.port, i_.name,
        contact_  ? "does it go from a few volts (open) to nearly none (closed) and back"
        : encoder ? "turned slowly, does each of the two channels step between nearly none and a few volts"
                  : "do the volts follow");
    x.caution = caution::live;
    add_check(d_, x, [&](const Fault& f) -> Shows {
      if (f.kind == PartKind::sensor_port) return {};  // the signal comes as far as its terminal
      Shows out;
      for (const Likely& l : input_shows(f, i_)) {
        const bool other = l.shown == Shown::elsewhere || l.shown == Shown::silent;
        const bool changes = l.shown == Shown::weak || l.shown == Shown::wrong_way;
        out.push_back({changes             ? Shown::as_should
                       : other && contact_ ? Shown::stays_open
                       : other             ? Shown::silent
                                           : l.shown,
                       l.weight});
      }
      return out;
    });
  }

  // Nobody says which way or how far an encoder is turned by hand: that it counts is all.
  [[nodiscard]] Shows turned_by_hand(Shows shows) const {
    if (i_.kind != robot::PointKind::encoder) return shows;
    Shows out;
    for (const Likely& l : shows) {
      if (l.shown == Shown::one_channel) {
        out.push_back({Shown::silent, 0.9 * l.weight});
        out.push_back({Shown::as_should, 0.1 * l.weight});
      } else if (l.shown == Shown::at_times) {
        out.push_back({Shown::at_times, 0.2 * l.weight});
        out.push_back({Shown::as_should, 0.8 * l.weight});
      } else {
        const bool counts = l.shown == Shown::wrong_way || l.shown == Shown::weak;
        out.push_back({counts ? Shown::as_should : l.shown, l.weight, l.where});
      }
    }
    return out;
  }

  void response(const robot::Input& input) {
    const robot::Output* o = robot_.output(input.senses_output);
    if (o == nullptr || input.senses != robot::SensesWhat::output_motion) return;
    Draft x = draft(CheckKind::sensor_response, Commands::bench,
                    {Shown::as_should, Shown::weak, Shown::at_times, Shown::wrong_way, Shown::one_channel,
                     Shown::elsewhere, Shown::silent},
                    fmt::format("{} while {} is bumped", input.name, o->name));
    x.origin.point = input.name;
    x.others = exchange_partners(d_, input.name);
    beside(x, input);
    x.instructions = fmt::format("The bench moves {} a little and reads {}.", o->name, input.name);
    add_check(d_, x, [&](const Fault& f) -> Shows {
      if (Shows own = input_shows(f, input); !own.empty()) return own;
      Shows out;
      for (const Likely& l : watched(robot_, f, *o)) {
        const bool gone = l.shown == Shown::nothing || l.shown == Shown::elsewhere;
        out.push_back({gone ? Shown::silent : l.shown, l.weight});
      }
      return out;
    });
  }

  void at_rest(const robot::Input& input) {
    Draft x = draft(CheckKind::inputs_at_rest, Commands::nobody,
                    {Shown::as_should, Shown::at_times, Shown::out_of_range}, input.name + " at rest");
    x.origin.point = input.name;
    beside(x, input);
    x.instructions = fmt::format("The bench reads {} while nothing moves: quiet, and a value that can be?", input.name);
    if (const auto* sensor = robot_.device_of(input.device).as<robot::AnalogueDevice>()) {
      x.by_hand = Draft::ByHand{
          CheckKind::meter_signal,
          fmt::format(
              "Controller on, nothing moving: measure the voltage between the signal and the ground terminal of "
              "{}: quiet, and between {:.1f} and {:.1f} V?",
              input.port, std::min(sensor->at_low, sensor->at_high).in(volts(1)),
              std::max(sensor->at_low, sensor->at_high).in(volts(1))),
          caution::live};
    } else if (input.kind == robot::PointKind::switch_input) {
      x.by_hand = Draft::ByHand{
          CheckKind::meter_signal,
          fmt::format(
              "Controller on, nothing moving: measure the voltage between the signal and the ground terminal of "
              "{}: quiet?",
              input.port),
          caution::live};
    }
    add_check(d_, x, [&](const Fault& f) -> Shows {
      const bool analogue = input.kind == robot::PointKind::analogue;
      if (f.kind == PartKind::sensor_supply && analogue) return {{Shown::out_of_range, 0.7}, {Shown::as_should, 0.3}};
      if (f.input != &input) return {};
      if (f.mode == Mode::intermittent) return {{Shown::at_times, 0.5}, {Shown::as_should, 0.5}};
      if (analogue && (f.mode == Mode::open || f.mode == Mode::shorted || f.mode == Mode::dead))
        return {{Shown::out_of_range, 0.7}, {Shown::as_should, 0.3}};
      if (analogue && f.mode == Mode::wrong_type) return {{Shown::out_of_range, 0.2}, {Shown::as_should, 0.8}};
      return {};
    });
  }

  // Another sensor on the same supply: where it answers, the supply is whole.
  void neighbour() {
    for (const robot::Input& other : robot_.inputs) {
      const bool complained = std::find(d_.inputs.begin(), d_.inputs.end(), &other) != d_.inputs.end();
      if (complained || other.kind == robot::PointKind::switch_input) continue;
      if (other.kind == robot::PointKind::analogue) {
        at_rest(other);
        return;
      }
      if (other.senses == robot::SensesWhat::output_motion && other.senses_output != i_.senses_output) {
        response(other);
        return;
      }
    }
  }

  void continuity() {
    Draft x = draft(CheckKind::continuity_wire, Commands::nobody,
                    {Shown::as_should, Shown::shorted, Shown::open_circuit}, "continuity of the lead of " + i_.name);
    x.access = &i_.access;
    x.instructions = fmt::format(
        "Supply off, both ends of {}'s lead unplugged. Measure ohms of each conductor end to end, and between "
        "conductors, while you bend the lead.",
        i_.name);
    add_check(d_, x, [&](const Fault& f) -> Shows {
      if (!mine(f) || (f.kind != PartKind::connector && f.kind != PartKind::sensor_wire)) return {};
      if (f.mode == Mode::open) return {{Shown::open_circuit, 1.0}};
      if (f.mode == Mode::shorted) return {{Shown::shorted, 1.0}};
      return {{Shown::open_circuit, 0.6}, {Shown::as_should, 0.4}};
    });
  }

  void swap_port() {
    Draft x = draft(CheckKind::swap_port, Commands::nobody, {Shown::as_should, Shown::still_wrong},
                    fmt::format("{} on a port that works", i_.name));
    x.access = &robot_.board_access;
    x.instructions = fmt::format(
        "Supply off. Plug the lead of {} into a port of the same kind that is known to work and work the sensor: does "
        "'ringout meters' show what is drawn on that port change (quit this case first, it is kept)? Put it back "
        "afterwards.",
        i_.name);
    x.caution = caution::known_good;
    x.by_hand = Draft::ByHand{
        x.origin.kind,
        fmt::format("Supply off. Plug the lead of {} into a port of the same kind that is known to work, have the "
                    "program read that port, and work the sensor: does its value change? Put it back afterwards.",
                    i_.name),
        caution::known_good};
    add_check(d_, x,
              [&](const Fault& f) { return stays(f, f.kind == PartKind::sensor_port || f.kind == PartKind::place); });
  }

  void swap_sensor() {
    Draft x = draft(CheckKind::swap_sensor, Commands::nobody, {Shown::as_should, Shown::still_wrong},
                    fmt::format("a known-good sensor on the lead of {}", i_.name));
    x.access = &i_.access;
    x.instructions = fmt::format(
        "Supply off. Plug a sensor of the same type that is known to work on the lead of {} and work it by hand: does "
        "'ringout meters' show it change (quit this case first, it is kept)?",
        i_.name);
    x.caution = caution::known_good;
    x.by_hand = Draft::ByHand{
        x.origin.kind,
        fmt::format(
            "Supply off. Plug a sensor of the same type that is known to work on the lead of {}, run the program "
            "up to where it reads it, and work it by hand: does the value change?",
            i_.name),
        caution::known_good};
    add_check(d_, x, [&](const Fault& f) {
      const bool sensor = f.kind == PartKind::encoder || f.kind == PartKind::contact ||
                          f.kind == PartKind::analogue_sensor || f.kind == PartKind::bus_device;
      return stays(f, mine(f) && sensor);
    });
  }

  [[nodiscard]] Shows stays(const Fault& f, bool gone) const {
    return gone ? Shows{} : still_there(input_shows(f, i_));
  }

  Derivation& d_;
  const robot::Robot& robot_;
  const robot::Input& i_;
  bool contact_;
};

}  // namespace

void add_input_checks(Derivation& d) {
  for (const robot::Input* i : d.inputs) InputChecks(d, *i).all();
  for (const robot::Input& i : d.robot.inputs) {
    const bool complained = std::find(d.inputs.begin(), d.inputs.end(), &i) != d.inputs.end();
    const bool watches = std::any_of(d.outputs.begin(), d.outputs.end(),
                                     [&](const robot::Output* o) { return o->name == i.senses_output; });
    if (watches && !complained) InputChecks(d, i).briefly();
  }
}

}  // namespace ringout::faults
