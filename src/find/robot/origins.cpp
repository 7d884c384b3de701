// The sentences about one fault: what it is, what settles it, who, and the proof that closes the case.
#include <fmt/format.h>

#include "find/robot/derivation.h"
#include "find/robot/repair_kinds.h"

namespace ringout::faults {

namespace {

std::string point_of(const Fault& f) {
  if (f.input != nullptr) return f.input->name;
  if (f.output != nullptr) return f.output->name;
  return f.protection != nullptr ? f.protection->name : std::string{};
}

const char* key_of(PartKind kind) {
  switch (kind) {
    case PartKind::supply_wire:
    case PartKind::wire:
    case PartKind::sensor_wire:
      return "wire";
    case PartKind::connector:
      return "connector";
    case PartKind::port:
    case PartKind::sensor_port:
    case PartKind::place:
      return "port";
    case PartKind::mechanism:
    case PartKind::gear:
      return "mechanism";
    case PartKind::command:
      return "name";
    default:
      return "device";
  }
}

Span place_of(const robot::Robot& robot, const Fault& f) {
  const char* key = key_of(f.kind);
  if (f.input != nullptr) return f.input->at.of(key);
  if (f.output != nullptr) return f.output->at.of(key);
  if (f.protection != nullptr) return f.protection->at.of(key);
  switch (f.kind) {
    case PartKind::battery:
      return robot.battery.at.of(key);
    case PartKind::supply_wire:
      return f.battery_wire ? robot.battery.at.of(key) : robot.board_at.of(key);
    case PartKind::program:
    case PartKind::table:
      return robot.at.whole;
    default:
      return robot.board_at.of("model");
  }
}

// Nothing has told yet which of them it is.
std::string one_of(const std::vector<std::string>& ports) {
  constexpr std::size_t most_named = 4;
  if (ports.size() == 1) return "the free port " + ports.front();
  if (ports.size() > most_named) return fmt::format("one of the {} free ports of its kind", ports.size());
  std::string out = ports.front();
  for (std::size_t i = 1; i < ports.size(); ++i) out += (i + 1 < ports.size() ? ", " : " or ") + ports[i];
  return "a free port (" + out + ")";
}

// What is wrong, as a clause behind the part's name.
std::string wrong(const Fault& f) {
  switch (f.mode) {
    case Mode::open:
      return f.kind == PartKind::connector ? "is not plugged in, or a contact is pulled out" : "is open";
    case Mode::intermittent:
      return "makes contact only part of the time";
    case Mode::shorted:
      return "is shorted";
    case Mode::reversed:
      return f.kind == PartKind::encoder ? "has its two channels exchanged" : "has its two leads exchanged";
    case Mode::exchanged:
      return "sit on each other's ports";
    case Mode::moved:
      return "sits on " + one_of(f.spare_ports);
    case Mode::empty:
      return "is nearly empty";
    case Mode::weak:
      return f.kind == PartKind::battery ? "has aged: its voltage falls under load" : "gives far less than it should";
    case Mode::blown:
      return "has blown";
    case Mode::tripped:
      return "has tripped or was not closed";
    case Mode::dead:
      if (f.protection != nullptr) return "does not close any more";
      if (f.kind == PartKind::port) return "does nothing: its driver, or its terminal";
      return f.kind == PartKind::link ? "carries nothing" : f.kind == PartKind::board ? "is dead" : "does nothing";
    case Mode::stuck_on:
      return "drives without being told";
    case Mode::stuck_open:
      return "stays open";
    case Mode::stuck_closed:
      return "stays closed";
    case Mode::stuck:
      return "stays at one value";
    case Mode::one_channel:
      return "has one silent channel";
    case Mode::jammed:
      return "is jammed";
    case Mode::stiff:
      return "turns hard";
    case Mode::slipping:
      return "slips";
    case Mode::wrong_type:
      return "is of another type than drawn";
    case Mode::misplaced:
      return "sits where it cannot sense";
    case Mode::old:
      return "is older than this Ringout needs";
    case Mode::other_names:
      return "was built against other names or kinds";
    case Mode::stale:
      return "is missing, or that of another wiring";
    case Mode::sends_nothing:
      return "sends nothing";
    case Mode::sends_little:
      return "sends too little";
    case Mode::sends_wrong_sign:
      return "sends the wrong sign";
    case Mode::sends_unasked:
      return "sends a value unasked";
    case Mode::reads_wrongly:
      return "makes the wrong thing of the reading";
  }
  return {};
}

std::string subject(const Fault& f, const std::string& part) {
  switch (f.kind) {
    case PartKind::command:
      if (f.mode == Mode::sends_unasked) return fmt::format("the program drives {} where it should not", point_of(f));
      return fmt::format("the program {} {}", wrong(f), (f.output != nullptr ? "to " : "of ") + point_of(f));
    case PartKind::place:
      if (f.mode == Mode::exchanged) return fmt::format("the leads of {} {}", part, wrong(f));
      return fmt::format("the lead of {} {}", point_of(f), wrong(f));
    case PartKind::breaker:
    case PartKind::fuse:
    case PartKind::resettable:
      return fmt::format("{} {}", part, wrong(f));
    default:
      return fmt::format("the {} {}", part, wrong(f));
  }
}

ChangeIn change_in(const Fault& f) {
  switch (repair_of(f.kind, f.mode)) {
    case RepairKind::edit_program:
    case RepairKind::rebuild:
      return ChangeIn::program;
    case RepairKind::load_table:
    case RepairKind::load_firmware:
      return ChangeIn::controller;
    case RepairKind::move_over:
      return ChangeIn::robot_file;
    case RepairKind::free:
    case RepairKind::ease:
    case RepairKind::tighten:
    case RepairKind::adjust:
      return ChangeIn::mechanics;
    default:
      break;
  }
  return f.kind == PartKind::motor && f.mode != Mode::wrong_type ? ChangeIn::mechanics : ChangeIn::wiring;
}

robot::Discipline discipline_of(ChangeIn in) {
  if (in == ChangeIn::mechanics) return robot::Discipline::mechanics;
  return in == ChangeIn::program || in == ChangeIn::controller ? robot::Discipline::programming
                                                               : robot::Discipline::wiring;
}

// A case with a bench keeps the serial port to itself.
constexpr const char* case_first = "Quit this case before you load, it is kept; then go on with --resume.";

std::string change_of(const Fault& f, const std::string& part) {
  const std::string point = point_of(f);
  switch (repair_of(f.kind, f.mode)) {
    case RepairKind::reset:
      return fmt::format("Find out why {} has opened, then {}.", part,
                         f.kind == PartKind::breaker ? "close it" : "let it cool with the supply off");
    case RepairKind::charge:
      return fmt::format("Charge {} as its maker says, or put in a charged one.", part);
    case RepairKind::reconnect:
      return fmt::format("Seat {} firmly in its contacts, and look at each contact.", part);
    case RepairKind::mend:
      return fmt::format("Renew or join {}{}.", part,
                         f.mode == Mode::shorted ? ", find where it chafes, and renew the fuse that it has blown" : "");
    case RepairKind::turn_round:
      if (f.input != nullptr)
        return fmt::format(
            "Exchange channels A and B of {} at its plug, or write its 'reversed' in the robot file as it is.", point);
      return fmt::format(
          "Turn the two leads of {} round at its plug, or write its 'reversed' in the robot file as it is and load the "
          "table.",
          point);
    case RepairKind::put_back:
      if (f.mode == Mode::exchanged)
        return fmt::format(
            "Put the leads of {} back on the ports that the robot file draws, or write the ports in the robot file "
            "as they are and load the table.",
            part);
      return fmt::format(
          "Look where the lead of {} sits and put it back on its drawn port; or quit this case (it is kept), have "
          "'ringout prove' name the port, write that one in the robot file and load the table.",
          point);
    case RepairKind::move_over:
      return fmt::format("Put the lead of {} on a spare port, write that port in the robot file and load the table.",
                         point);
    case RepairKind::free:
      return fmt::format("Take out what jams {}.", part);
    case RepairKind::ease:
      return fmt::format("Find what rubs in {}: alignment, bearings, lubrication.", part);
    case RepairKind::tighten:
      return fmt::format("Tighten {} on its shaft: set screw, key or clamp.", part);
    case RepairKind::adjust:
      return fmt::format("Put {} where it can sense, and fasten it.", part);
    case RepairKind::load_table:
      return std::string(
                 "Load the point table of this robot file ('ringout load'); no compiler, nothing is rewired. ") +
             case_first;
    case RepairKind::load_firmware:
      return std::string(
                 "Build the firmware with this Ringout ('ringout build'), write it to the controller and load the "
                 "table ('ringout load'). ") +
             case_first;
    case RepairKind::rebuild:
      return std::string(
                 "Build the program against this robot file ('ringout bind', 'ringout build'), write it to the "
                 "controller and load the table ('ringout load'). ") +
             case_first;
    case RepairKind::edit_program:
      return fmt::format("Correct the place in the program that deals with {}.", point);
    case RepairKind::renew:
      break;
  }
  if (f.mode == Mode::wrong_type)
    return fmt::format("Put in the type of {} that is drawn, or write the type that is there in the robot file.", part);
  if (f.kind == PartKind::fuse)
    return fmt::format("Find out why {} has blown, then put in one of the same rating.", part);
  if (f.kind == PartKind::port || f.kind == PartKind::bank || f.kind == PartKind::sensor_supply)
    return fmt::format("Put in another board: {} cannot be mended on the bench.", part);
  if (f.kind == PartKind::link) return "Connect the controller with another cable, at another port of the computer.";
  return fmt::format("Put in a new {} of the type that is drawn.", part);
}

std::string proof_of(const Fault& f) {
  if (f.kind == PartKind::link || f.kind == PartKind::board) return "ringout ready ROBOT --on LINK";
  if (f.input == nullptr && f.output == nullptr && f.kind != PartKind::bank && f.kind != PartKind::sensor_supply)
    return "ringout ready ROBOT --on LINK";
  if (f.kind == PartKind::command) return "ringout run ROBOT --on LINK";
  return "ringout prove ROBOT --on LINK";
}

}  // namespace

FaultOrigin origin_of(const Derivation& d, const Fault& f, const std::string& part) {
  FaultOrigin out;
  out.kind = f.kind;
  out.mode = f.mode;
  out.part = part;
  out.point = point_of(f);
  if (f.other_output != nullptr) out.other = f.other_output->name;
  if (f.other_input != nullptr) out.other = f.other_input->name;
  out.at = place_of(d.robot, f);
  out.text = subject(f, part);
  out.change_in = change_in(f);
  out.discipline = discipline_of(out.change_in);
  const auto owner = d.robot.owners.find(robot::name_of(out.discipline));
  if (owner != d.robot.owners.end()) out.owner = owner->second;
  out.change = change_of(f, part);
  out.proof = proof_of(f);
  out.injection = injection_of(d.robot, f);
  return out;
}

}  // namespace ringout::faults
