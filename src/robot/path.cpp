#include "robot/path.h"

#include <algorithm>

namespace ringout::robot {

namespace {

struct PathBuilder {
  const Robot& robot;
  Path path;

  void add(PartKind kind, std::string name, Access access = {}, Discipline owner = Discipline::wiring) {
    // A part that feeds both an output and the board is in the path once.
    const bool passed = std::any_of(path.begin(), path.end(), [&](const Part& p) { return p.name == name; });
    if (!passed) path.push_back({kind, std::move(name), std::move(access), owner});
  }

  void battery() {
    add(PartKind::battery, robot.battery.name, robot.battery.access);
    add(PartKind::supply_wire, robot.battery.name + " supply wire", robot.battery.access);
  }

  void feed(const std::string& protection) {
    for (const Protection* p : robot.feed_chain(protection)) {
      add(PartKind::supply_wire, p->name + " supply wire", p->access);
      add(PartKind::protection, p->name, p->access);
    }
  }

  // The controller: what it is fed by, itself, and what runs on it.
  void controller() {
    feed(robot.board_fed_by);
    add(PartKind::supply_wire, "board supply wire", robot.board_access);
    add(PartKind::board, "board", robot.board_access);
    add(PartKind::link, "link", {}, Discipline::programming);
    add(PartKind::firmware, "firmware", {}, Discipline::programming);
  }

  void program() {
    add(PartKind::program, "program", {}, Discipline::programming);
    add(PartKind::binding, "binding", {}, Discipline::programming);
  }

  // What the motor moves. `device` is the last electrical part.
  void mechanics(const Output& output) {
    if (!output.mechanism) return;
    add(PartKind::gear, output.name + " gear", output.access, Discipline::mechanics);
    add(PartKind::mechanism, output.name + " mechanism", output.access, Discipline::mechanics);
  }
};

PartKind device_part(const Output& output) {
  const bool turns = output.kind == PointKind::bridge_motor || output.kind == PointKind::servo;
  return turns ? PartKind::motor : PartKind::load;
}

const char* device_word(const Output& output) {
  return device_part(output) == PartKind::motor ? " motor" : " load";
}

}  // namespace

Path path_of(const Robot& robot, const Output& output) {
  PathBuilder b{robot, {}};
  b.battery();
  b.feed(output.fed_by);
  b.controller();
  b.program();
  b.add(PartKind::port, "port " + output.port, robot.board_access);
  b.add(PartKind::wire, output.name + " wire", output.access);
  if (!output.connector.empty()) b.add(PartKind::connector, output.name + " connector", output.access);
  b.add(device_part(output), output.name + device_word(output), output.access);
  b.mechanics(output);
  return b.path;
}

Path path_of(const Robot& robot, const Input& input) {
  PathBuilder b{robot, {}};
  b.battery();
  b.controller();
  b.add(PartKind::sensor_supply, "board sensor supply", robot.board_access);
  if (const Output* watched = robot.output(input.senses_output)) {
    // What it senses, as far as its motion comes from: the motor for a sensor on the motor's shaft.
    if (input.on_motor_shaft) {
      b.add(device_part(*watched), watched->name + device_word(*watched), watched->access);
    } else {
      b.mechanics(*watched);
    }
  }
  b.add(PartKind::sensor, input.name + " sensor", input.access);
  if (!input.connector.empty()) b.add(PartKind::connector, input.name + " connector", input.access);
  b.add(PartKind::sensor_wire, input.name + " wire", input.access);
  b.add(PartKind::port, "port " + input.port, robot.board_access);
  b.program();
  return b.path;
}

}  // namespace ringout::robot
