#include "find/robot/sight.h"

#include <fmt/format.h>

namespace ringout::faults {

namespace {

Shows of_motion(const std::vector<LikelyAnswer>& answers) {
  Shows out;
  for (const auto& [a, weight] : answers) {
    if (a.acts != nullptr) {
      // Not everyone knows every part by its name.
      out.push_back({Shown::elsewhere, 0.75 * weight, a.acts->name});
      out.push_back({Shown::elsewhere, 0.1 * weight});
      out.push_back({Shown::nothing, 0.15 * weight});
      continue;
    }
    out.push_back({seen_as(a.motion), weight});
  }
  return out;
}

// The controller's and the program's own faults, as far as they show in what an output does.
Shows of_program(const Fault& f, const robot::Output& output) {
  switch (f.kind) {
    case PartKind::link:
    case PartKind::firmware:
      return {{Shown::nothing, 0.8}, {Shown::at_times, 0.1}, {Shown::as_should, 0.1}};
    case PartKind::program:
      return {{Shown::nothing, 0.7}, {Shown::elsewhere, 0.2, anywhere}, {Shown::as_should, 0.1}};
    case PartKind::table:
      return {{Shown::nothing, 0.25},
              {Shown::elsewhere, 0.25, anywhere},
              {Shown::wrong_way, 0.2},
              {Shown::weak, 0.1},
              {Shown::as_should, 0.2}};
    case PartKind::command:
      if (f.output != &output) return {};
      if (f.mode == Mode::sends_nothing) return {{Shown::nothing, 1.0}};
      if (f.mode == Mode::sends_little) return {{Shown::weak, 0.7}, {Shown::nothing, 0.3}};
      if (f.mode == Mode::sends_wrong_sign) return {{Shown::wrong_way, 1.0}};
      return {{Shown::unasked, 1.0}};
    default:
      return {};
  }
}

// An output's own sensors: its program waits for them, and its end switches hold it.
Shows of_own_sensor(const Fault& f, const robot::Output& output) {
  const auto own = [&](const robot::Input* i) { return i != nullptr && i->senses_output == output.name; };
  const robot::Input* sensor = own(f.input) ? f.input : own(f.other_input) ? f.other_input : nullptr;
  if (sensor == nullptr || input_shows(f, *sensor).empty()) return {};
  const bool ends =
      sensor->senses == robot::SensesWhat::travel_low_end || sensor->senses == robot::SensesWhat::travel_high_end;
  if (ends) return {{Shown::as_should, 0.5}, {Shown::at_times, 0.25}, {Shown::nothing, 0.25}};
  return {{Shown::as_should, 0.5}, {Shown::at_times, 0.3}, {Shown::weak, 0.1}, {Shown::nothing, 0.1}};
}

Shown bump_shown(const Answer& a) {
  if (a.motion == Motion::none) {
    if (a.draws == Draws::too_much) return Shown::held;
    if (a.draws == Draws::other) return Shown::other_device;
    return a.draws == Draws::none ? Shown::nothing : Shown::no_motion;
  }
  const bool moves = a.motion == Motion::as_should || a.motion == Motion::weak;
  return moves && a.draws == Draws::other ? Shown::other_device : seen_as(a.motion);
}

// Without a sense of current there is only the motion, without a motion sensor only the current.
Shown as_far_as_sensed(const Answer& a, const Senses& senses) {
  const Shown shown = bump_shown(a);
  if (senses.motion != nullptr && senses.current) return shown;
  if (senses.motion != nullptr) {
    if (shown == Shown::held || shown == Shown::no_motion) return Shown::nothing;
    return shown == Shown::other_device ? (a.motion == Motion::weak ? Shown::weak : Shown::as_should) : shown;
  }
  if (!senses.current) return Shown::as_should;
  if (shown == Shown::held || shown == Shown::other_device || shown == Shown::nothing) return shown;
  return a.draws == Draws::at_times ? Shown::at_times : Shown::as_should;
}

// Another output's device sits on this port.
Shows of_stranger(const robot::Robot& robot, const robot::Output& drawn, const robot::Output& stranger) {
  const Senses here = senses_of(robot, drawn);
  if (senses_of(robot, stranger).motion != nullptr)
    return {{Shown::elsewhere, 0.97, stranger.name}, {Shown::other_device, 0.03}};
  const Shown unlike = here.motion != nullptr ? (here.current ? Shown::no_motion : Shown::nothing) : Shown::as_should;
  // Currents of unlike devices may lie close together at a bump's small level.
  if (!here.current || drawn.device == stranger.device) return {{unlike, 1.0}};
  // A lamp or a pump may draw more than this motor's stall and turns nothing.
  if (here.motion != nullptr) return {{Shown::other_device, 0.75}, {Shown::held, 0.1}, {unlike, 0.15}};
  return {{Shown::other_device, 0.85}, {unlike, 0.15}};
}

Shows of_own_motion_sensor(const robot::Robot& robot, const Fault& fault, const Senses& senses) {
  Shows out;
  for (const Likely& l : input_shows(fault, *senses.motion)) {
    const bool gone = l.shown == Shown::silent || (l.shown == Shown::one_channel && senses.current);
    const Shown shown = gone                            ? (senses.current ? Shown::no_motion : Shown::nothing)
                        : l.shown == Shown::one_channel ? Shown::weak
                                                        : l.shown;
    // What is drawn where its sensor sits is taken for what moves.
    const robot::Input* other = l.where.empty() ? nullptr : robot.input(std::string(l.where));
    const bool senses_one = other != nullptr && robot.output(other->senses_output) != nullptr;
    out.push_back({shown, l.weight, senses_one ? std::string_view(other->senses_output) : std::string_view()});
  }
  return out;
}

bool tells_motion(const robot::Input& i) {
  const bool kind = i.kind == robot::PointKind::encoder || i.kind == robot::PointKind::analogue;
  return kind && i.senses == robot::SensesWhat::output_motion;
}

}  // namespace

Shown seen_as(Motion motion) {
  switch (motion) {
    case Motion::as_should:
      return Shown::as_should;
    case Motion::weak:
      return Shown::weak;
    case Motion::at_times:
      return Shown::at_times;
    case Motion::wrong_way:
      return Shown::wrong_way;
    case Motion::none:
      break;
  }
  return Shown::nothing;
}

Shows still_there(const Shows& shows) {
  Shows out;
  for (const Likely& l : shows)
    out.push_back({l.shown == Shown::as_should ? Shown::as_should : Shown::still_wrong, l.weight});
  return out;
}

Senses senses_of(const robot::Robot& robot, const robot::Output& output) {
  Senses out;
  const robot::BoardPort& port = robot.port_of(output.port);
  out.drives = port.kind == robot::PortKind::bridge;
  for (const robot::Input& i : robot.inputs) {
    if (!tells_motion(i)) continue;
    if (i.senses_output == output.name) out.motion = &i;
    out.others = out.others || i.senses_output != output.name;
  }
  for (const robot::BoardBank& b : robot.board.banks) {
    if (b.name == port.bank && b.sense_adc) out.current = true;
  }
  return out;
}

std::vector<Shown> bump_outcomes(const Senses& senses) {
  std::vector<Shown> out{Shown::as_should};
  const auto add = [&](bool sensed, Shown shown) {
    if (sensed) out.push_back(shown);
  };
  const bool motion = senses.motion != nullptr;
  add(motion, Shown::weak);
  add(senses.any(), Shown::at_times);
  add(motion, Shown::wrong_way);
  add(senses.current, Shown::other_device);
  add(senses.others, Shown::elsewhere);
  add(motion && senses.current, Shown::no_motion);
  add(senses.current, Shown::held);
  add(senses.any(), Shown::nothing);
  return out;
}

Shows bump_shows(const robot::Robot& robot, const Fault& fault, const robot::Output& output) {
  if (fault.mode == Mode::exchanged && fault.other_output != nullptr) {
    if (fault.output == &output) return of_stranger(robot, output, *fault.other_output);
    if (fault.other_output == &output) return of_stranger(robot, output, *fault.output);
    return {};
  }
  const Senses senses = senses_of(robot, output);
  Shows out;
  for (const auto& [answer, weight] : answers(robot, fault, output))
    out.push_back({as_far_as_sensed(answer, senses), weight});
  if (!out.empty() || senses.motion == nullptr) return out;
  // The output is whole, and the sensor that should tell so is not.
  return of_own_motion_sensor(robot, fault, senses);
}

std::string what_to_see(const robot::Output& output) {
  if (!output.visible_sign.empty()) return fmt::format("{}?", output.visible_sign);
  return output.positive_means.empty() ? "does it act, and does anything else?"
                                       : fmt::format("for a positive value it {}.", output.positive_means);
}

std::vector<Shown> sight_outcomes(robot::PointKind kind) {
  if (symptoms_of(kind).size() > 5)
    return {Shown::as_should, Shown::weak,    Shown::at_times, Shown::wrong_way,
            Shown::elsewhere, Shown::unasked, Shown::nothing};
  return {Shown::as_should, Shown::weak, Shown::at_times, Shown::elsewhere, Shown::unasked, Shown::nothing};
}

Shows watched(const robot::Robot& robot, const Fault& fault, const robot::Output& output) {
  return of_motion(answers(robot, fault, output));
}

Shows operated(const robot::Robot& robot, const Fault& fault, const robot::Output& output) {
  if (fault.kind == PartKind::port && fault.mode == Mode::stuck_on && fault.output == &output)
    return {{Shown::unasked, 1.0}};
  if (Shows program = of_program(fault, output); !program.empty()) return program;
  if (Shows own = of_motion(answers(robot, fault, output)); !own.empty()) return own;
  return of_own_sensor(fault, output);
}

Shows looked_at(const Fault& f, const robot::Output& output) {
  const auto seen = [](Shown shown, double chance) -> Shows {
    return {{shown, chance}, {Shown::as_should, 1 - chance}};
  };
  if (f.kind == PartKind::place && (f.output == &output || f.other_output == &output))
    return seen(Shown::not_drawn, 0.4);
  if (f.output != &output || f.input != nullptr) return {};
  if (f.kind == PartKind::connector) return seen(Shown::something_seen, f.mode == Mode::open ? 0.8 : 0.3);
  if (f.kind == PartKind::wire)
    return seen(Shown::something_seen, f.mode == Mode::reversed ? 0.1 : f.mode == Mode::open ? 0.4 : 0.3);
  if (f.kind == PartKind::mechanism && f.mode == Mode::jammed) return seen(Shown::blocked, 0.6);
  if (f.kind == PartKind::gear) return seen(Shown::blocked, 0.3);
  if (f.mode == Mode::wrong_type) return seen(Shown::not_drawn, 0.3);
  return {};
}

std::vector<Shown> reading_outcomes() {
  return {Shown::as_should, Shown::out_of_range, Shown::silent};
}

Shows read(const robot::Robot& robot, const Fault& f, const robot::Input& input) {
  switch (f.kind) {
    case PartKind::link:
    case PartKind::firmware:
      return {{Shown::silent, 0.9}, {Shown::as_should, 0.1}};
    case PartKind::program:
      return {{Shown::silent, 0.5}, {Shown::out_of_range, 0.4}, {Shown::as_should, 0.1}};
    case PartKind::table:
      return {{Shown::silent, 0.3}, {Shown::out_of_range, 0.5}, {Shown::as_should, 0.2}};
    case PartKind::command:
      if (f.input != &input) return {};
      return {{Shown::silent, 0.4}, {Shown::out_of_range, 0.6}};
    default:
      break;
  }
  Shows out;
  for (const Likely& l : input_shows(f, input)) {
    const bool still = l.shown == Shown::silent || l.shown == Shown::stays_open || l.shown == Shown::stays_closed ||
                       l.shown == Shown::one_channel;
    if (l.shown == Shown::as_should) {
      out.push_back(l);
    } else {
      // People call a value that stays "does not change" mostly, and one that is elsewhere "reads wrong" mostly.
      out.push_back({Shown::silent, l.weight * (still ? 0.8 : 0.15)});
      out.push_back({Shown::out_of_range, l.weight * (still ? 0.2 : 0.85)});
    }
  }
  if (!out.empty()) return out;
  // What it senses does not come.
  const robot::Output* watched_output = robot.output(input.senses_output);
  if (watched_output == nullptr) return {};
  for (const Likely& l : watched(robot, f, *watched_output)) {
    const Shown shown = l.shown == Shown::as_should                                ? Shown::as_should
                        : l.shown == Shown::nothing || l.shown == Shown::elsewhere ? Shown::silent
                                                                                   : Shown::out_of_range;
    out.push_back({shown, l.weight});
  }
  return out;
}

bool stops_the_bench(const Fault& f) {
  return f.kind == PartKind::table || f.kind == PartKind::program || f.kind == PartKind::firmware;
}

bool link_silent(const robot::Robot& robot, const Fault& f) {
  if (f.kind == PartKind::link || f.kind == PartKind::board) return true;
  return !robot.board.usb_powered && board_feeding(robot, f) == Feeding::open;
}

}  // namespace ringout::faults
