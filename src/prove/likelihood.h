// How well one statement explains what one kind of sensor did in the bumps of one port. All are logarithms of
// probability densities; noise is normal with a rare uniform part, so that one spike never decides.
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "prove/response.h"

namespace ringout::prove {

// The unknown strength of an answer, over the drawn expectation: one grid shared by all sensors of a motion.
inline constexpr std::size_t strengths = 33;
using OverStrength = std::array<double, strengths>;
[[nodiscard]] const OverStrength& strength_grid();  // 0.01 … 40, equal ratios

enum class Steadiness { steady, comes_and_goes };

enum class SensorState { up, down, one_channel, silent, comes_and_goes_up, comes_and_goes_down };
inline constexpr std::size_t sensor_states = 6;

// One bump's expectation for one sensor: steps for strength 1, signed for SensorState::up.
struct ExpectedSteps {
  const Response* response = nullptr;
  double steps = 0.0;
  double slack = 0.0;
};

// One bump's reading of a steady sensor under a steady output: what it changed by, what it should have, and the error.
struct Reading {
  double delta = 0.0;
  double wanted = 0.0;
  double error = 1.0;
  double log_extra = 0.0;  // whether it was active at all
};
[[nodiscard]] Reading encoder_reading(const ExpectedSteps& x, std::size_t e, SensorState state, double strength);
[[nodiscard]] Reading analogue_reading(const ExpectedSteps& x, std::size_t c, SensorState state, double strength);

// All bumps of one direction: d_i = f w_i + noise_i with one factor f ~ N(1, s^2) for all of them (weight, friction
// and slack make out and back differ, repeats agree), integrated in closed form:
//   A = 1/s^2 + sum w^2/e^2,  B = 1/s^2 + sum w d/e^2
//   log p = sum(-d^2/(2 e^2) - log(e sqrt(2 pi))) - 1/(2 s^2) + B^2/(2 A) - log s - log(A)/2
[[nodiscard]] double repeats_log(const std::vector<Reading>& readings);

// Encoder port `e`; `output` comes_and_goes lets every bump have its own share of the strength.
[[nodiscard]] double encoder_log(const ExpectedSteps& x, std::size_t e, SensorState state, double strength,
                                 Steadiness output);
[[nodiscard]] double encoder_rest_log(const Response& r, std::size_t e);               // what it senses did not move
[[nodiscard]] double encoder_jam_log(const Response& r, std::size_t e, double slack);  // moved within the gear's slack

// Analogue input on ADC channel `c`.
[[nodiscard]] double analogue_log(const ExpectedSteps& x, std::size_t c, SensorState state, double strength,
                                  Steadiness output);
[[nodiscard]] double analogue_rest_log(const Response& r, std::size_t c);
[[nodiscard]] double analogue_jam_log(const Response& r, std::size_t c, double slack);

// The load current of one bump: measured where the bank has a sense, else from the sag behind the drawn resistance.
struct Load {
  double amperes = 0.0;
  double error = 1.0;
  double gaps = 0.0;
  bool gaps_visible = false;
};
// `spread`: relative uncertainty of the expected current.
[[nodiscard]] double load_log(const Load& load, double expected, double spread, Steadiness output);
[[nodiscard]] double load_unknown_log(const Load& load);  // something not drawn: any current

}  // namespace ringout::prove
