// Bumps that are safe before anything is proved: open loop, for any device of the robot on any port, in either
// direction.
//
// For a motor with torque constant k, resistance R (k = (Un - I0 R)/w0, R = Un/Is), gear n : 1, efficiency e, level u
// and full supply U, its output shaft turns no faster than
//
//     w_max = (u U + R Tg / (n k)) / (k n)             Tg = m g r: what hangs on it, taken as helping
//
// for as long as the bump lasts, slopes included, and then coasts at most
//
//     a = J w_max^2 / (2 T)    J = n^2 Jr + Jl (load included),   T = half the drawn friction + n k I0 / 2 - Tg (if it
//     can fall)
//
// The worst case of a bounded mechanism is  pairs * r * (w_max (t + u/slope) + a), all pairs of the whole proving on
// the same side, no credit for the way back, for encoders or for end switches; it must stay within its bump_clearance.
//
// What that covers: every output's lead on every port, either way, each motor in the gear it is drawn in. A motor that
// was built into another's gear is covered as well where the clearances leave room for it without weaker or shorter
// bumps than a proving needs: Reach says for each mechanism which motors of this robot are covered in its gear, and how
// far each of the others could get. Against those, and against a motor that is not in this robot file at all, stand the
// allowances for encoders and analogue sensors alone, the same for all of a kind: a working encoder that counts more
// than half as much again as the fastest-counting encoder of this robot could, or an analogue sensor that goes further
// than a quarter of the converter's range, ends the bump. So a slow-counting encoder may let its mechanism go several
// times as far as the drawn motor could. The level must break away the least eager motor: u U_low >= margin * R * ((1.3
// Tf + Tg)/(n e k) + 1.3 I0), with R the winding, the bridge and the lead together. Holds for brushed motors on bridges
// that give the mean voltage u U (no current gap within a PWM period).
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "capture/sample.h"
#include "robot/robot.h"
#include "units/quantity.h"

namespace ringout::prove {

// What the point table carries for a port that is not proved.
struct UnprovedBounds {
  int max_level_permille = 0;
  int max_duration_ms = 0;
  int max_slope_permille_per_ms = 0;
};

// How far one bounded mechanism can get in the worst case, over the whole proving.
struct MotorReach {
  std::string motor;   // catalogue name
  double worst = 0.0;  // mechanism's own unit (SI)
};
struct Reach {
  std::string output;
  double clearance = 0.0;  // stated in the robot file, mechanism's own unit (SI)
  double worst = 0.0;      // same unit, of the drawn motor; at most `clearance` unless conflicts says so
  // The motors of this robot, if one of them were in this gear: the drawn one is always among the covered.
  std::vector<MotorReach> covered = {};
  std::vector<MotorReach> not_covered = {};
};

struct BumpPlan {
  std::vector<std::uint8_t> bridges;  // in the order to bump them: every bridge of the board, spare ones too
  int level_permille = 0;             // out with +level, back with -level
  int slope_permille_per_ms = 0;
  int duration_ms = 0;                   // of each half
  int quiet_before_ms = 0;               // samples with all outputs off before each half
  int watch_after_ms = 0;                // samples after each half
  int pairs_planned = 0;                 // two-sided bumps to make on every port
  int pairs_allowed = 0;                 // most that may ever be made on one port before it is proved, looks included
  std::uint16_t encoder_allowance = 0;   // counts from the start of the bump; more ends it
  std::uint16_t analogue_allowance = 0;  // raw
  std::uint16_t allowed_switches = 0;    // may change without ending the bump
  std::vector<Reach> reaches;
  std::vector<std::string> conflicts;  // in words; not empty: do not bump (session refuses)

  [[nodiscard]] UnprovedBounds bounds() const;
};

[[nodiscard]] BumpPlan plan_bumps(const robot::Robot& robot);

// What the clearances of the plan cover and what they do not, one sentence a mechanism.
[[nodiscard]] std::vector<std::string> coverage_of(const robot::Robot& robot, const BumpPlan& plan);

// Switches that change while nothing is asked to move (a loose wire, a hand): allow them to change in a bump, or it
// ends at once. No bound of the plan rests on a switch, so nothing is lost by it.
[[nodiscard]] std::uint16_t restless_switches(std::span<const capture::Sample> quiet);

// Level and current figures of one motor, as the plan uses them; for reports and tests.
struct MotorFigures {
  Resistance resistance;
  MotorConstant constant;
  Torque gravity;                // at the output shaft, magnitude
  Inertia inertia;               // at the output shaft, all of it
  double breakaway_level = 0.0;  // fraction of the low supply that just moves it, without margin
};
[[nodiscard]] MotorFigures motor_figures(const robot::Robot& robot, const robot::Output& output);
// The same with another motor in the output's gear.
[[nodiscard]] MotorFigures motor_figures(const robot::Robot& robot, const robot::Output& output,
                                         const robot::MotorDevice& motor);

}  // namespace ringout::prove
