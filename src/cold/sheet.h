// The cold check's sheet: what to measure with the battery out, between which terminals, and what to expect; then the
// first power, one branch at a time. In an order that goes from the battery outwards and opens each place once (what
// has to come twice: steps.h).
//
// Expected ohms are what a two-lead handheld meter shows, its own leads deducted: wire there and back, contacts,
// protection, winding; 1 % and 0.2 ohm for the meter (from memory; your meter's sheet rules). Milliohms are beyond such
// a meter: a bad crimp shows from some tenths of an ohm on.
#pragma once

#include <limits>
#include <string>
#include <vector>

#include "robot/robot.h"

namespace ringout::cold {

constexpr double open_circuit = std::numeric_limits<double>::infinity();  // ohms; what a meter shows as OL

enum class StepKind {
  meter_leads,       // the meter's own leads together
  rail_short,        // between the rails
  frame_short,       // a rail against the frame
  feed,              // a conductor of the supply, end to end
  feed_crossed,      // the same start against the other rail: must not be continuous
  output_loop,       // a device through its leads, from the controller's plug
  output_conductor,  // one lead of it, end to end
  switch_rest,       // a switch that nobody touches
  switch_worked,     // the same switch, worked by hand
  sensor_supply,     // supply against return of a sensor, servo or light
  sensor_conductor,  // one lead of such a device, end to end
  first_power,       // amperes, with the supply on
};

struct Step {
  std::string id;  // stable, one word: "rails.short", "lift.loop", "fuse_lift.plus"
  StepKind kind = StepKind::feed;
  std::string subject;  // of the robot file: an output, an input, a protection; empty for the rails
  std::string prepare;  // what to do first; empty: nothing
  std::string red;      // where the meter's red lead goes
  std::string black;
  double low = 0.0;  // ohms, or amperes at first power
  double high = 0.0;
  std::string range;  // of the meter: "200 ohm"
  int readings = 1;   // so many, the shaft turned between
  std::string place;  // what has to be opened
  std::string from;   // first power: what the limits are made of
};

struct Sheet {
  std::vector<std::string> cautions;
  std::vector<std::string> assumptions;
  std::vector<Step> steps;  // power off
  std::vector<std::string> power_cautions;
  std::vector<Step> power;  // first power
};

// The robot must have been read without error.
[[nodiscard]] Sheet cold_sheet(const robot::Robot& robot);

[[nodiscard]] const Step* find(const Sheet& sheet, const std::string& id);
// "0.32 to 1.25 ohm", "over 10 kohm, or open", "0 mA to 20 mA".
[[nodiscard]] std::string expected_text(const Step& step);
[[nodiscard]] std::string ohms_text(double ohms);
[[nodiscard]] std::string amperes_text(double amperes);

}  // namespace ringout::cold
