#include "robot/robot_file.h"

#include <fmt/format.h>

#include <set>

#include "robot/case_file.h"
#include "robot/resolve.h"
#include "robot/table_reader.h"
#include "robot/wire_file.h"

namespace ringout::robot {

namespace {

using Dim = Dimension;

const std::vector<std::string> output_words{"bridge motor", "servo", "on/off", "light"};
constexpr PointKind output_kinds[] = {PointKind::bridge_motor, PointKind::servo, PointKind::on_off, PointKind::light};
const std::vector<std::string> input_words{"switch", "analogue", "encoder", "bus device"};
constexpr PointKind input_kinds[] = {PointKind::switch_input, PointKind::analogue, PointKind::encoder,
                                     PointKind::bus_device};
const std::vector<std::string> senses_words{"motion", "low end", "high end", "surroundings"};

void read_access(TableReader& in, Access& access) {
  const Node* node = in.table("access", Need::optional, "{ place = \"under the deck\", effort = \"5 min\" }");
  if (node == nullptr) return;
  TableReader table(in.source(), *node, fmt::format("the access of {}", in.what()), in.found());
  table.text("place", Need::required, "under the deck", access.place);
  table.quantity("effort", Need::required, Dim::time, from_zero, access.effort.si);
  table.finish();
}

// A position of the mechanism, or a length of its way: metres where a radius turns angle into length, else radians.
bool read_position(TableReader& in, const char* key, Need need, const Mechanism& mechanism, double& into) {
  const Node* node = in.find(key);
  const bool length_without_radius = !mechanism.travel_is_length && node != nullptr && node->kind == Node::Kind::text &&
                                     read_quantity(node->text, Dim::length).si.has_value();
  if (length_without_radius) {
    in.error(key, "robot.no-radius", fmt::format("\"{}\" of {} is a length, but there is no radius", key, in.what()),
             "give the mechanism a radius, for example radius = \"8 mm/rev\" for a screw or \"20 mm\" for a drum");
    return false;
  }
  return in.quantity(key, need, mechanism.travel_is_length ? Dim::length : Dim::angle, any_sign, into);
}

void read_travel(TableReader& in, Mechanism& mechanism) {
  const Node* node = in.table("travel", Need::optional, "{ low = \"0 mm\", high = \"300 mm\" }");
  if (node == nullptr) return;
  TableReader table(in.source(), *node, fmt::format("the travel of {}", in.what()), in.found());
  table.tolerances_like(in, "travel");
  Travel travel;
  const bool low = read_position(table, "low", Need::required, mechanism, travel.low);
  const bool high = read_position(table, "high", Need::required, mechanism, travel.high);
  table.finish();
  if (low && high && travel.high <= travel.low) {
    table.error("high", "robot.empty-travel", fmt::format("{} ends where it begins, or before", table.what()),
                "low is the smaller position");
  }
  mechanism.travel = travel;
}

void read_mechanism(TableReader& in, Need need, Output& output) {
  const Node* node =
      in.table("mechanism", need, "{ gear_ratio = 50, inertia = \"0.01 kg*m2\", friction = \"0.2 N*m\" }");
  if (node == nullptr) return;
  Mechanism m;
  TableReader table(in.source(), *node, fmt::format("the mechanism of {}", in.what()), in.found());
  table.tolerances_like(in, "mechanism");
  table.number("gear_ratio", Need::required, {0.01, 100'000.0}, m.gear_ratio);
  table.quantity("gear_efficiency", Need::optional, Dim::fraction, {0.01, 1.0}, m.gear_efficiency);
  table.quantity("backlash", Need::optional, Dim::angle, from_zero, m.backlash.si);
  table.quantity("inertia", Need::required, Dim::inertia, above_zero, m.inertia.si);
  table.quantity("friction", Need::required, Dim::torque, from_zero, m.friction.si);
  table.quantity("viscous", Need::optional, Dim::damping, from_zero, m.viscous.si);
  const bool lifts = table.quantity("lifted", Need::optional, Dim::mass, from_zero, m.lifted.si);
  Radius radius;
  const bool radius_written = table.find("radius") != nullptr;
  if (table.quantity("radius", Need::optional, Dim::radius, above_zero, radius.si)) m.radius = radius;
  m.travel_is_length = radius_written;
  if (lifts && m.lifted.si > 0 && !radius_written) {
    table.error("lifted", "robot.no-radius", fmt::format("{} lifts a mass, but has no radius", table.what()),
                "write for example radius = \"8 mm/rev\" for a screw or \"20 mm\" for a drum");
  }
  table.truth("self_locking", m.self_locking);
  read_travel(table, m);
  if (read_position(table, "bump_clearance", Need::optional, m, m.bump_clearance) && m.bump_clearance < 0) {
    table.error("bump_clearance", "file.out-of-range", fmt::format("the clearance of {} is below zero", table.what()));
  }
  double speed = 0.0;
  if (read_speed(table, "asked_speed", Need::optional, m, {1e-9, 1e6}, speed)) m.asked_speed = speed;
  table.finish();
  for (const auto& [key, span] : table.places().keys) output.at.keys["mechanism." + key] = span;
  output.mechanism = m;
}

std::size_t findings_in(const Diagnostics& found) {
  return found.all().size();
}

Output read_output(TableReader& in, std::vector<Tolerance>& tolerances, std::set<std::string>& unsound) {
  Output o;
  if (in.text("name", Need::required, "lift", o.name)) in.rename(fmt::format("output \"{}\"", shown(o.name)));
  in.tolerances_into(tolerances, "output." + o.name);
  const auto kind = in.choice("kind", Need::required, output_words);
  if (kind) o.kind = output_kinds[*kind];
  in.text("device", Need::required, "lift_motor_12v", o.device);
  in.text("port", Need::required, "OUT1", o.port);
  const bool fed_by_board = o.kind == PointKind::servo || o.kind == PointKind::light;
  in.text("fed_by", fed_by_board ? Need::optional : Need::required, "fuse_lift", o.fed_by);
  read_wire(in, Need::required, o.wire);
  in.text("connector", Need::optional, "blade_pair_20a", o.connector);
  in.truth("reversed", o.reversed);
  const std::size_t before_off = findings_in(in.found());
  if (const auto off = in.choice("off", Need::optional, {"coast", "brake"})) o.off = static_cast<Off>(*off);
  const bool off_sound = findings_in(in.found()) == before_off;
  in.exact_quantity("max_level", Need::optional, Dim::fraction, up_to_one, o.max_level);
  in.text("positive_means", Need::optional, "raises", o.positive_means);
  in.text("visible_sign", Need::optional, "mist from the nozzles", o.visible_sign);
  std::string name;
  if (in.text("low_switch", Need::optional, "lift_bottom", name)) o.low_switch = name;
  if (in.text("high_switch", Need::optional, "lift_top", name)) o.high_switch = name;
  read_access(in, o.access);
  in.text("owner", Need::optional, "wiring", o.owner);
  const std::size_t before = findings_in(in.found());
  read_mechanism(in, kind && o.kind == PointKind::bridge_motor ? Need::required : Need::optional, o);
  if (!kind || !off_sound || findings_in(in.found()) != before) unsound.insert(o.name);
  in.finish();
  o.at.whole = in.places().whole;
  for (const auto& [key, span] : in.places().keys) o.at.keys[key] = span;
  if (!kind) o.at.keys.erase("kind");  // what hangs on the kind is not judged
  return o;
}

Input read_input(TableReader& in, std::vector<Tolerance>& tolerances) {
  Input i;
  if (in.text("name", Need::required, "lift_top", i.name)) in.rename(fmt::format("input \"{}\"", shown(i.name)));
  in.tolerances_into(tolerances, "input." + i.name);
  const auto kind = in.choice("kind", Need::required, input_words);
  if (kind) i.kind = input_kinds[*kind];
  in.text("device", Need::required, "limit_switch", i.device);
  in.text("port", Need::required, "SW1", i.port);
  in.truth("reversed", i.reversed);
  if (const auto what = in.choice("senses", Need::optional, senses_words)) {
    i.senses = static_cast<SensesWhat>(*what + 1);
  }
  in.text("of", Need::optional, "lift", i.senses_output);
  if (const auto shaft = in.choice("shaft", Need::optional, {"output", "motor"})) i.on_motor_shaft = *shaft == 1;
  in.text("hand_action", Need::optional, "press the switch at the top of the mast", i.hand_action);
  read_wire(in, Need::optional, i.wire);
  in.text("connector", Need::optional, "signal_three_pole", i.connector);
  read_access(in, i.access);
  in.text("owner", Need::optional, "wiring", i.owner);
  in.finish();
  i.at = in.places();
  if (!kind) i.at.keys.erase("kind");
  return i;
}

Protection read_protection(TableReader& in, std::vector<Tolerance>& tolerances) {
  Protection p;
  if (in.text("name", Need::required, "fuse_lift", p.name)) in.rename(fmt::format("protection \"{}\"", shown(p.name)));
  in.tolerances_into(tolerances, "protection." + p.name);
  in.text("device", Need::required, "blade_fuse_10a", p.device);
  in.text("fed_from", Need::required, "battery", p.fed_from);
  read_wire(in, Need::required, p.wire);
  read_access(in, p.access);
  in.finish();
  p.at = in.places();
  return p;
}

void read_battery(TableReader& file, std::vector<Tolerance>& tolerances, Battery& battery) {
  const Node* node = file.table("battery", Need::required, "{ device = \"agm_12v_7ah\", ... }");
  battery.name = "battery";
  if (node == nullptr) return;
  TableReader in(file.source(), *node, "the battery", file.found());
  in.tolerances_into(tolerances, "battery");
  in.text("name", Need::optional, "battery", battery.name);
  in.text("device", Need::required, "agm_12v_7ah", battery.device);
  double charge = 0.0;
  if (in.quantity("state_of_charge", Need::optional, Dim::fraction, up_to_one, charge)) {
    battery.state_of_charge = charge;
  }
  read_wire(in, Need::required, battery.wire);
  read_access(in, battery.access);
  in.finish();
  battery.at = in.places();
}

void read_heads(TableReader& file, const Catalogue& catalogue, Robot& robot) {
  if (const Node* node = file.table("robot", Need::required, "{ name = \"tray_carrier\" }")) {
    TableReader in(file.source(), *node, "the robot", file.found());
    in.tolerances_into(robot.tolerances, "robot");
    in.text("name", Need::required, "tray_carrier", robot.name);
    in.text("description", Need::optional, "carries seedling trays", robot.description);
    in.truth("invented", robot.invented);
    in.quantity("ambient", Need::optional, Dim::temperature, ambient_range, robot.ambient.si);
    in.finish();
    robot.at = in.places();
  }
  if (const Node* node = file.table("board", Need::required, "{ model = \"nursery_mega\", ... }")) {
    TableReader in(file.source(), *node, "the board", file.found());
    in.tolerances_into(robot.tolerances, "board");
    std::string model;
    const bool named = in.text("model", Need::required, "nursery_mega", model);
    in.text("fed_by", Need::required, "fuse_controller", robot.board_fed_by);
    read_wire(in, Need::required, robot.board_wire);
    read_access(in, robot.board_access);
    in.finish();
    robot.board_at = in.places();
    if (const Board* board = catalogue.board(model)) {
      robot.board = *board;
    } else if (named) {
      report_unknown_board(robot, model, catalogue, file.found());
    }
  }
  if (const Node* node = file.table("owners", Need::optional, "{ wiring = \"Ada\" }")) {
    TableReader in(file.source(), *node, "the table of owners", file.found());
    for (const Discipline d : {Discipline::mechanics, Discipline::wiring, Discipline::programming}) {
      std::string person;
      if (in.text(name_of(d), Need::optional, "Ada", person)) robot.owners[name_of(d)] = person;
    }
    in.finish();
    robot.owners_at = in.places();
  }
}

// Those of the board and of each device that the robot uses, once.
void add_catalogue_tolerances(Robot& robot) {
  std::vector<std::string> devices{robot.battery.device};
  for (const Protection& p : robot.protections) devices.push_back(p.device);
  for (const Output& o : robot.outputs) devices.insert(devices.end(), {o.device, o.connector});
  for (const Input& i : robot.inputs) devices.insert(devices.end(), {i.device, i.connector});
  const auto add = [&](const std::vector<Tolerance>& some) {
    robot.tolerances.insert(robot.tolerances.end(), some.begin(), some.end());
  };
  add(robot.board.tolerances);
  std::set<std::string> done;
  for (const std::string& name : devices) {
    if (!name.empty() && done.insert(name).second) add(robot.device_of(name).tolerances);
  }
}

}  // namespace

std::optional<Robot> read_robot(const SourceText& text, const Catalogue& catalogue, Diagnostics& found) {
  const std::optional<Node> root = read_document(text, found);
  if (!root) return std::nullopt;
  Diagnostics own;  // judged alone: findings of other texts are no reason to refuse this one
  std::set<std::string> unsound;
  Robot robot;
  robot.text = std::make_shared<const SourceText>(text);
  robot.catalogue = catalogue;
  TableReader file(text, *root, "the robot file", own);
  read_heads(file, catalogue, robot);
  read_battery(file, robot.tolerances, robot.battery);
  for (const Node* node : file.tables("protection")) {
    TableReader in(text, *node, "a protection", own);
    robot.protections.push_back(read_protection(in, robot.tolerances));
  }
  for (const Node* node : file.tables("output")) {
    TableReader in(text, *node, "an output", own);
    robot.outputs.push_back(read_output(in, robot.tolerances, unsound));
  }
  for (const Node* node : file.tables("input")) {
    TableReader in(text, *node, "an input", own);
    robot.inputs.push_back(read_input(in, robot.tolerances));
  }
  read_cases(file, robot);
  file.finish();
  resolve_names(robot, own);
  const bool sound = !own.has_errors();
  // What can be judged besides is judged as well, so that one run shows all that is to be corrected.
  if (!sound) check_references_but(unsound, robot, own);
  own.sort_by_place();
  pass_on(own, found);
  if (!sound) return std::nullopt;
  add_catalogue_tolerances(robot);
  return robot;
}

}  // namespace ringout::robot
