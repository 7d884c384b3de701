#include "find/robot/behaviour.h"

#include <algorithm>

namespace ringout::faults {

namespace {

bool in_chain(const robot::Robot& robot, const robot::Protection* protection, const std::string& of) {
  const auto chain = robot.feed_chain(of);
  return std::find(chain.begin(), chain.end(), protection) != chain.end();
}

Feeding of_source(const Fault& fault) {
  if (fault.kind == PartKind::battery) return fault.mode == Mode::dead ? Feeding::open : Feeding::low;
  return fault.mode == Mode::open ? Feeding::open : Feeding::at_times;  // the battery's own wire
}

// Something behind the protection is shorted: it has blown, or the driver limits the current in time.
bool shorts(const Fault& fault, const std::string& protection) {
  return fault.mode == Mode::shorted && fault.output != nullptr && fault.output->fed_by == protection;
}

std::vector<LikelyAnswer> of_feeding(Feeding feeding) {
  switch (feeding) {
    case Feeding::untouched:
      return {};
    case Feeding::open:
      return {{{Motion::none, Draws::none}, 1.0}};
    case Feeding::at_times:
      return {{{Motion::at_times, Draws::at_times}, 0.8}, {{Motion::none, Draws::none}, 0.2}};
    case Feeding::low:
      return {{{Motion::weak, Draws::as_should}, 0.7}, {{}, 0.2}, {{Motion::none, Draws::none}, 0.1}};
    case Feeding::maybe_blown:
      return {{{}, 0.5}, {{Motion::none, Draws::none}, 0.5}};
  }
  return {};
}

// How much flows depends on where the driver limits; a lamp or pump beside it cannot be told from it by the current.
std::vector<LikelyAnswer> of_short() {
  return {{{Motion::none, Draws::too_much}, 0.4},
          {{Motion::none, Draws::other}, 0.25},
          {{Motion::none, Draws::as_should}, 0.1},
          {{Motion::none, Draws::none}, 0.25}};
}

std::vector<LikelyAnswer> of_device(const Fault& f) {
  const LikelyAnswer held{{Motion::none, Draws::too_much}, 1.0};
  switch (f.mode) {
    case Mode::dead:
      return {{{Motion::none, Draws::none}, 1.0}};
    case Mode::shorted:
      return of_short();
    case Mode::weak:
      return {{{Motion::weak, Draws::as_should}, 0.9}, {{}, 0.1}};
    case Mode::jammed:
      return {held};
    case Mode::wrong_type:
      return {{{Motion::as_should, Draws::other}, 0.45},
              {{Motion::weak, Draws::other}, 0.3},
              {{Motion::weak, Draws::as_should}, 0.15},
              {{}, 0.1}};
    case Mode::slipping:
      // A motor without its load draws less.
      return {{{Motion::none, Draws::as_should}, 0.35},
              {{Motion::none, Draws::other}, 0.35},
              {{Motion::at_times, Draws::as_should}, 0.3}};
    case Mode::stiff:
      return {{{Motion::weak, Draws::too_much}, 0.8}, {{Motion::weak, Draws::as_should}, 0.15}, {{}, 0.05}};
    default:
      return {};
  }
}

std::vector<LikelyAnswer> of_own_part(const Fault& f) {
  const std::vector<LikelyAnswer> nothing{{{Motion::none, Draws::none}, 1.0}};
  const std::vector<LikelyAnswer> at_times{{{Motion::at_times, Draws::at_times}, 0.75},
                                           {{Motion::none, Draws::none}, 0.1},
                                           {{Motion::none, Draws::other}, 0.05},
                                           {{}, 0.1}};
  switch (f.kind) {
    case PartKind::port:
      return f.mode == Mode::dead ? nothing : std::vector<LikelyAnswer>{{{}, 1.0}};
    case PartKind::wire:
    case PartKind::connector:
      if (f.mode == Mode::open) return nothing;
      if (f.mode == Mode::intermittent) return at_times;
      if (f.mode == Mode::reversed) return {{{Motion::wrong_way, Draws::as_should}, 1.0}};
      return of_short();
    case PartKind::place:
      return nothing;  // moved to a spare port; exchanges are told apart before
    case PartKind::motor:
    case PartKind::load:
    case PartKind::gear:
    case PartKind::mechanism:
      return of_device(f);
    default:
      return {};
  }
}

}  // namespace

Feeding feeding(const robot::Robot& robot, const Fault& fault, const std::string& protection) {
  if (fault.kind == PartKind::battery || fault.battery_wire) return of_source(fault);
  if (shorts(fault, protection)) return Feeding::maybe_blown;
  if (fault.protection == nullptr || !in_chain(robot, fault.protection, protection)) return Feeding::untouched;
  return fault.mode == Mode::intermittent ? Feeding::at_times : Feeding::open;
}

Feeding board_feeding(const robot::Robot& robot, const Fault& fault) {
  if (fault.board_wire) return fault.mode == Mode::intermittent ? Feeding::at_times : Feeding::open;
  return feeding(robot, fault, robot.board_fed_by);
}

std::vector<LikelyAnswer> answers(const robot::Robot& robot, const Fault& fault, const robot::Output& output) {
  const std::vector<LikelyAnswer> nothing{{{Motion::none, Draws::none}, 1.0}};
  if (fault.kind == PartKind::place && fault.mode == Mode::exchanged) {
    const bool mine = fault.output == &output || fault.other_output == &output;
    if (!mine) return {};
    // Where the other device sits on this port, it acts; at this level a lamp or pump may show nothing but current.
    const robot::Output* other = fault.output == &output ? fault.other_output : fault.output;
    return {{{Motion::none, Draws::other, other}, 1.0}};
  }
  if (fault.output == &output && fault.input == nullptr) {
    if (auto own = of_own_part(fault); !own.empty()) return own;
  }
  if (fault.kind == PartKind::board) return nothing;
  if (fault.kind == PartKind::bank)
    return robot.port_of(output.port).bank == fault.bank ? nothing : std::vector<LikelyAnswer>{};
  // Without supply at its own terminal the controller holds all outputs off.
  if (const Feeding board = board_feeding(robot, fault); board != Feeding::untouched && board != Feeding::maybe_blown)
    return of_feeding(board);
  return of_feeding(feeding(robot, fault, output.fed_by));
}

Shows input_shows(const Fault& f, const robot::Input& input) {
  const bool contact = input.kind == robot::PointKind::switch_input;
  const bool analogue = input.kind == robot::PointKind::analogue;
  if (f.kind == PartKind::board) return {{Shown::silent, 1.0}};
  if (f.kind == PartKind::sensor_supply && !contact) return {{Shown::silent, 1.0}};
  if (f.kind == PartKind::place && f.mode == Mode::exchanged && (f.input == &input || f.other_input == &input)) {
    const robot::Input* other = f.input == &input ? f.other_input : f.input;
    return {{Shown::elsewhere, 0.8, other->name}, {Shown::silent, 0.2}};
  }
  if (f.input != &input) return {};
  switch (f.mode) {
    case Mode::open:
      // A pin that floats follows a little what lies beside it.
      if (analogue) return {{Shown::silent, 0.8}, {Shown::weak, 0.2}};
      return {{contact ? Shown::stays_open : Shown::silent, 1.0}};
    case Mode::dead:
    case Mode::stuck:
      return {{contact ? Shown::stays_open : Shown::silent, 1.0}};
    case Mode::moved:  // the port that the drawing leaves free answers
      return {{Shown::elsewhere, 0.7}, {contact ? Shown::stays_open : Shown::silent, 0.3}};
    case Mode::stuck_open:
      return {{Shown::stays_open, 1.0}};
    case Mode::stuck_closed:
      return {{Shown::stays_closed, 1.0}};
    case Mode::shorted:
      return {{contact ? Shown::stays_closed : Shown::silent, 1.0}};
    case Mode::intermittent:
      // One try is short: it may find the contact made, or open, from its begin to its end.
      return {{Shown::at_times, 0.65}, {Shown::as_should, 0.25}, {contact ? Shown::stays_open : Shown::silent, 0.1}};
    case Mode::one_channel:
      return {{Shown::one_channel, 1.0}};
    case Mode::reversed:
      return {{Shown::wrong_way, 1.0}};
    case Mode::slipping:
      return {{Shown::at_times, 0.5}, {Shown::silent, 0.5}};
    case Mode::wrong_type:
      if (contact)
        return {
            {Shown::wrong_way, 0.6}, {Shown::stays_open, 0.15}, {Shown::stays_closed, 0.1}, {Shown::as_should, 0.15}};
      if (analogue)
        return {{Shown::weak, 0.45}, {Shown::wrong_way, 0.25}, {Shown::silent, 0.1}, {Shown::as_should, 0.2}};
      return {{Shown::weak, 0.8}, {Shown::as_should, 0.2}};
    case Mode::misplaced:
      return {{contact ? Shown::stays_open : Shown::weak, 0.6}, {Shown::as_should, 0.4}};
    default:
      return {};
  }
}

}  // namespace ringout::faults
