#include "robot/robot.h"

#include <algorithm>

#include "base/check.h"
#include "physics/wire.h"

namespace ringout::robot {

namespace {

template <class Named>
const Named* by_name(const std::vector<Named>& all, const std::string& name) {
  const auto at = std::find_if(all.begin(), all.end(), [&](const Named& n) { return n.name == name; });
  return at == all.end() ? nullptr : &*at;
}

}  // namespace

Span Places::of(const std::string& key) const {
  const auto at = keys.find(key);
  return at == keys.end() ? whole : at->second;
}

bool is_output(PointKind kind) {
  return kind == PointKind::bridge_motor || kind == PointKind::servo || kind == PointKind::on_off ||
         kind == PointKind::light;
}

bool agent_works(PointKind kind) {
  return kind != PointKind::servo && kind != PointKind::light && kind != PointKind::bus_device;
}

const char* name_of(PointKind kind) {
  switch (kind) {
    case PointKind::bridge_motor:
      return "bridge motor";
    case PointKind::servo:
      return "servo";
    case PointKind::on_off:
      return "on/off";
    case PointKind::light:
      return "light";
    case PointKind::switch_input:
      return "switch";
    case PointKind::analogue:
      return "analogue";
    case PointKind::encoder:
      return "encoder";
    case PointKind::bus_device:
      return "bus device";
  }
  return "";
}

const char* name_of(Discipline d) {
  switch (d) {
    case Discipline::mechanics:
      return "mechanics";
    case Discipline::wiring:
      return "wiring";
    case Discipline::programming:
      return "programming";
  }
  return "";
}

const char* name_of(Loading loading) {
  switch (loading) {
    case Loading::off:
      return "off";
    case Loading::running:
      return "running";
    case Loading::stalled:
      return "stalled";
    case Loading::at_speed:
      return "at speed";
  }
  return "";
}

Resistance Wire::loop() const {
  return cross_section.si > 0 ? physics::loop_resistance(cross_section, length) : ohms(0);
}

const Output* Robot::output(const std::string& output_name) const {
  return by_name(outputs, output_name);
}
const Input* Robot::input(const std::string& input_name) const {
  return by_name(inputs, input_name);
}

const Protection* Robot::protection(const std::string& protection_name) const {
  return by_name(protections, protection_name);
}

std::vector<const Protection*> Robot::feed_chain(const std::string& protection_name) const {
  std::vector<const Protection*> chain;
  const Protection* next = protection(protection_name);
  while (next != nullptr && chain.size() < protections.size()) {
    chain.push_back(next);
    next = protection(next->fed_from);
  }
  std::reverse(chain.begin(), chain.end());
  return chain;
}

const Device& Robot::device_of(const std::string& catalogue_name) const {
  const Device* device = catalogue.device(catalogue_name);
  RINGOUT_CHECK(device != nullptr);
  return *device;
}

const BoardPort& Robot::port_of(const std::string& port_name) const {
  const BoardPort* port = board.find(port_name);
  RINGOUT_CHECK(port != nullptr);
  return *port;
}

}  // namespace ringout::robot
