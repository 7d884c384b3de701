// What the drawn robot would answer to a bump: the motor's equations stepped through the bump and the coasting after
// it.
//
//   (n^2 Jr + J/e) dw/dt = n k i - (b w + T + Tg)/e - n k I0,   i = (u U - k n w)/R    while driven;   i = 0 after
//
// J, b, T (dry friction), Tg (weight): the load's, at the output shaft; e: the gear's efficiency. Inductance, cogging,
// backlash and heat are left out on purpose: the estimator gives the answer's size generous room instead.
#pragma once

#include <array>

#include "robot/robot.h"

namespace ringout::prove {

struct Drive {
  double level = 0.0;  // magnitude, fraction of supply
  double slope_per_s = 0.0;
  double driven_s = 0.0;
  double volts = 0.0;  // supply at rest
};

enum class Way { positive, negative };  // of the mechanism

struct Expected {
  double shaft_rad = 0.0;        // magnitude, output shaft, from rest to rest; 0 for on/off devices
  double amperes = 0.0;          // drawn from the supply, mean over the driven part after the slope
  double stalled_amperes = 0.0;  // the same if the shaft were held
  double start_amperes = 0.0;    // mean over the slope and start_window_s after it
  double running_amperes = 0.0;  // mean over the rest of the driven part
};

// Of stalled_amperes: what takes more cannot be the motor, even if it stands, but is a short. An estimate of ours.
inline constexpr double above_stalled = 1.3;

[[nodiscard]] Expected expected_answer(const robot::Robot& robot, const robot::Output& output, const Drive& drive,
                                       Way way);
// The same with another motor in the output's gear.
[[nodiscard]] Expected expected_with(const robot::Robot& robot, const robot::Output& output,
                                     const robot::MotorDevice& motor, const Drive& drive, Way way);

// The same with nothing on the gear: its coupling slips.
[[nodiscard]] Expected expected_running_free(const robot::Robot& robot, const robot::Output& output,
                                             const Drive& drive);

// Battery, its wire and the protection nearest to it, as drawn.
[[nodiscard]] double drawn_source_ohms(const robot::Robot& robot);
// What the controller's supply has in common with this output's: battery, its wire, and each protection with its wire
// that feeds both. A load on the output lets the controller's voltage fall by this times its current.
[[nodiscard]] double drawn_common_ohms(const robot::Robot& robot, const robot::Output& output);

// Drawn from the supply where the two conductors touch at the device, mean over the driven part after the slope: the
// leads' and the driver's resistance alone, or as much as the driver lets through, for the pulse's share of the time.
//
//   I = u min(U / (Ron + Rloop), Ilimit)
[[nodiscard]] double shorted_amperes(const robot::Robot& robot, const robot::Output& output,
                                     const robot::BoardPort& port, const Drive& drive);

// Travel and current of the drawn motor where friction that is not drawn holds it back more and more, up to where it
// stands: both follow from one torque, so that a travel tells the current that belongs to it.
struct HeldBack {
  static constexpr std::size_t steps = 9;
  std::array<double, steps> share = {};    // of the drawn travel, falling
  std::array<double, steps> amperes = {};  // as Expected::amperes
};
[[nodiscard]] HeldBack held_back(const robot::Robot& robot, const robot::Output& output, const Drive& drive, Way way);
// Straight between the steps.
[[nodiscard]] double amperes_at(const HeldBack& held, double share);

// Sensor steps per radian of the output shaft for a positive motion (signed as drawn), 0 for sensors that cannot tell.
[[nodiscard]] double steps_per_radian(const robot::Robot& robot, const robot::Input& input);
// The gear's slack in those steps.
[[nodiscard]] double slack_steps(const robot::Robot& robot, const robot::Input& input);

}  // namespace ringout::prove
