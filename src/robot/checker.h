// The checks of check_references, one function each; split over check_references.cpp (outputs, supply) and
// check_inputs.cpp. Each is robust against a robot that is only half read: what is not there has been reported
// elsewhere.
#pragma once

#include <optional>
#include <set>
#include <string>

#include "base/diagnostic.h"
#include "robot/robot.h"

namespace ringout::robot {

struct Checker {
  const Robot& robot;
  Diagnostics& found;
  const std::set<std::string>& unsound;  // outputs of which kind, off or mechanism could not be read

  void add(Severity severity, Discipline owner, const Places& at, const char* key, std::string id, std::string message,
           std::string hint) {
    const Span place = at.of(key);
    found.add({severity, std::move(id), std::move(message), std::move(hint), place.line > 0 ? place : Span{1, 1, 1},
               robot.text ? robot.text->name() : std::string(), name_of(owner)});
  }
  void error(Discipline owner, const Places& at, const char* key, std::string id, std::string message,
             std::string hint = {}) {
    add(Severity::error, owner, at, key, std::move(id), std::move(message), std::move(hint));
  }
  void warning(Discipline owner, const Places& at, const char* key, std::string id, std::string message,
               std::string hint = {}) {
    add(Severity::warning, owner, at, key, std::move(id), std::move(message), std::move(hint));
  }

  template <class Spec>
  const Spec* spec(const std::string& device) const {
    const Device* d = robot.catalogue.device(device);
    return d == nullptr ? nullptr : d->as<Spec>();
  }

  void ends_of_travel(const Output& o);
  void end_switch(const Output& o, const char* key, const std::optional<std::string>& name, SensesWhat end);
  void clearance(const Output& o);
  void can_be_seen(const Output& o);
  void rated_voltage(const Output& o);
  void output_alone(const Output& o);
  void sensing(const Input& i);
  void end_switch_is_used(const Input& i);
  void encoder_speed(const Input& i, const Output& watched);
  void analogue_range(const Input& i);
  void sensor_covers_travel(const Input& i, const Output& watched);
  void bus_addresses();
  void owner_of(const std::string& owner, const std::string& what, const Places& at);
  void supply_tree();
  void disconnect();
};

}  // namespace ringout::robot
