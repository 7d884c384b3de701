// A motor with its driver, leads, gear and load in steady motion. Everything said of the load is at the gear's output.
//
//   d·E = R·I + k·N·ω            R = winding + driver + leads + d²·before_driver
//   supply current = d·I         (averaged over the chopping period: the motor's current flows on through the driver
//                                 while the supply rests; the driver's input capacitor carries the difference)
//   N·k·(I − s·I0) = e·M         M = weight + s·friction + viscous·ω,  s = sign of ω
//   e = 1/η where the motor drives the load (M·s > 0), η_back where the load drives the motor (M·s < 0)
//
// ω, M and θ positive in the direction of positive duty. Holds for a bridge that conducts in both halves of the period
// (continuous current), for averaged current, at one winding temperature; chopping loss, ripple and the capacitor's own
// loss are neglected. Friction at rest is taken as large as in motion. Gear loss is in proportion to the torque passed
// on: back-driven η_back = 2 − 1/η where no other figure is given, 0 (self-locking) at η ≤ ½. Source: conservation of
// power at the driver; loss symmetric in direction as for screws and worms in machine-design texts (from memory).
// All figures must be in their ranges, which are checked where they are read; outside them a call aborts.
#pragma once

#include <optional>

#include "physics/motor.h"

namespace ringout::physics {

struct Gear {
  double ratio = 1.0;                     // N > 0: motor turns for one output turn
  double efficiency = 1.0;                // η, 0 < η ≤ 1, driving
  std::optional<double> back_efficiency;  // 0 … 1, back-driven; 0: self-locking
};
[[nodiscard]] double back_efficiency(const Gear& gear);

struct Load {
  Torque weight;    // does not turn round with the motion; positive opposes positive motion
  Torque friction;  // Coulomb, ≥ 0
  Damping viscous;  // ≥ 0
};

struct DriveTrain {
  MotorConstants motor;  // at the temperatures of the moment
  Gear gear;
  Resistance driver;         // ≥ 0, both switches
  Resistance leads;          // ≥ 0, there and back, connectors included, between driver and motor
  Resistance before_driver;  // ≥ 0, between the source and the driver's input capacitor
  Load load;
};

struct Drive {
  Voltage source;     // ≥ 0, before `before_driver`
  double duty = 1.0;  // −1 … 1
};

enum class Motion { forward, backward, still };

// Signs as above; the powers add up: from_source = in_resistance + in_motor_friction + in_gear + delivered.
struct DrivePoint {
  Motion motion = Motion::still;
  Current motor_current;
  Current supply_current;  // d·I; negative where the motor feeds back
  AngularSpeed motor_speed;
  AngularSpeed output_speed;
  Torque motor_torque;   // at the motor's shaft, k·(I − s·I0); standing under a load: k·I
  Torque output_torque;  // into the load
  Voltage at_driver;     // the driver's input: E − before_driver·d·I
  Power from_source;
  Power in_resistance;  // all of R
  Power in_motor_friction;
  Power in_gear;
  Power delivered;          // output torque times output speed
  double efficiency = 0.0;  // delivered/from_source; 0 where either is not positive
};

// R of the equation above, as the motor's current sees it.
[[nodiscard]] Resistance total_resistance(const DriveTrain& t, double duty);
// e of the equation above for a torque on the load at this direction of motion (+1 or −1).
[[nodiscard]] double gear_factor(const Gear& gear, Torque on_load, int direction);

// Settled motion under t.load. `still` where the motor's torque stays within what weight, friction and gear hold; a
// still motor draws I = d·E/R and its torque is what the current gives (not limited by what the load takes).
[[nodiscard]] DrivePoint operating_point(const DriveTrain& t, Drive drive);
// The point at this output speed, whatever the load would have to be: torque left for the load after friction of motor
// and gear. t.load is not used. Speed 0 with duty of either sign: the stalled motor, motor friction and gear against
// it.
[[nodiscard]] DrivePoint point_at_speed(const DriveTrain& t, Drive drive, AngularSpeed output);
// The same with the load's torque given (steady, opposing positive motion when positive).
[[nodiscard]] DrivePoint point_at_torque(const DriveTrain& t, Drive drive, Torque output);

// ω = ½·(d·E − I0·R)/(k·N): the most that can be delivered at this drive. duty ≠ 0 and |d|·E > I0·R, else still.
[[nodiscard]] DrivePoint most_power(const DriveTrain& t, Drive drive);
// I = √(I0·d·E/R), η = (1 − √(I0·R/(d·E)))²·η_gear. With I0 = 0 efficiency rises up to free speed, where nothing is
// delivered: then the point at free speed.
[[nodiscard]] DrivePoint most_efficient(const DriveTrain& t, Drive drive);
// Duty that gives this output speed against t.load; nothing when the source is too low for it or speed is 0.
[[nodiscard]] std::optional<double> duty_for(const DriveTrain& t, Voltage source, AngularSpeed output);
// Duty at which the motor draws this current at this output speed; nothing when the source is too low for it.
[[nodiscard]] std::optional<double> duty_for(const DriveTrain& t, Voltage source, AngularSpeed output, Current i);

}  // namespace ringout::physics
