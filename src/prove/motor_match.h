// Whether it is the drawn motor that turns in a mechanism, or another of the catalogue: what travel alone cannot tell.
//
// Motors of like speed travel alike in the same gear, but their windings differ, and with them the current while the
// rotor gathers speed. Three figures of all bumps of a port together are held against every motor of the catalogue in
// this gear:
//
//   start    mean supply current over the slope and start_window_s after it   (winding, rotor and load inertia)
//   running  mean supply current from then on                                  (friction over torque constant)
//   travel   over what the drawn motor should have gone, where a sensor tells  (torque constant)
//
//   log P(motor) = log prior + sum over the figures of log N(seen; c E, sqrt((s c E)^2 + error^2))
//
// E: by the drawing, c and s: centre and scatter of seen over drawn, measured by motor_scatter (tests/scenarios) over
// random robots whose motors are as drawn. A small part of the probability is left to what no motor explains.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "prove/explanation.h"

namespace ringout::prove {

struct Measured {
  double value = 0.0;
  double error = 0.0;  // one standard deviation of the reading itself
};

// What was seen on one port.
struct MotorAnswer {
  std::optional<Measured> start;    // A; empty where the bank has no sense
  std::optional<Measured> running;  // A
  std::optional<double> travel;     // over the drawn motor's
};
[[nodiscard]] MotorAnswer motor_answer(const Explanations& x, std::size_t bridge, std::optional<double> travel);

// What one motor in this output's gear would have given in the same bumps.
struct MotorWanted {
  double start = 0.0;
  double running = 0.0;
  double shaft_rad = 0.0;
};
[[nodiscard]] MotorWanted motor_wanted(const Explanations& x, const robot::Output& output,
                                       const robot::MotorDevice& motor, std::size_t bridge, int sign);

struct MotorCandidate {
  std::string device;  // catalogue name
  double probability = 0.0;
  double likelihood = 0.0;  // of what was seen, over that of the motor that explains it best: the prior left aside
};
// Every motor of the catalogue, likeliest first; empty where nothing but the prior would speak.
[[nodiscard]] std::vector<MotorCandidate> motor_candidates(const Explanations& x, const robot::Output& output,
                                                           std::size_t bridge, int sign, const MotorAnswer& seen);

}  // namespace ringout::prove
