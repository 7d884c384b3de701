// How well "this device sits on this port, and its sensors sit there" explains all bumps of that port, state by state.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <tuple>
#include <vector>

#include "prove/arrangement.h"
#include "prove/expectation.h"
#include "prove/identify.h"
#include "prove/likelihood.h"
#include "prove/response.h"

namespace ringout::prove {

// What an output device may be like on a port. Signs: way of the mechanism for positive level at the terminals.
struct OutputState {
  Condition condition = Condition::answers;
  int sign = 0;  // 0: has none or shows none
};
inline constexpr std::array<OutputState, 14> output_states = {{{Condition::answers, 1},
                                                               {Condition::answers, -1},
                                                               {Condition::weak, 1},
                                                               {Condition::weak, -1},
                                                               {Condition::strong, 1},
                                                               {Condition::strong, -1},
                                                               {Condition::intermittent, 1},
                                                               {Condition::intermittent, -1},
                                                               {Condition::drags, 1},
                                                               {Condition::drags, -1},
                                                               {Condition::slips, 1},
                                                               {Condition::slips, -1},
                                                               {Condition::jammed, 0},
                                                               {Condition::shorted, 0}}};
// The mechanism stands, so that nothing can be said of what watches it.
[[nodiscard]] constexpr bool stands(Condition c) {
  return c == Condition::jammed || c == Condition::shorted;
}
// It moves too little, or too far: as drawn but for the size.
[[nodiscard]] constexpr bool odd_size(Condition c) {
  return c == Condition::weak || c == Condition::strong || c == Condition::drags;
}

using SensorPosterior = std::array<double, sensor_states>;

struct Explanation {
  double log_weight = 0.0;  // all states together, prior included; against "nothing moves, no current"
  std::array<double, output_states.size()> state{};             // posterior within this explanation
  std::array<double, output_states.size()> strength{};          // posterior mean of the strength, by state
  std::array<SensorPosterior, output_states.size()> encoder{};  // zero where no encoder watches
  std::array<SensorPosterior, output_states.size()> analogue{};
};

// Everything measured, by bridge, with the drawn robot to compare it with. Explanations are computed when asked for and
// kept.
class Explanations {
 public:
  Explanations(const robot::Robot& robot, const Evidence& evidence);

  using Seat =
      std::optional<std::size_t>;  // a sensor's port; empty: the output has no such sensor, or it is on no port
  [[nodiscard]] const Explanation& of(std::size_t output, std::size_t bridge, Seat encoder, Seat analogue);
  // log weights of "no device on this port", relative to the same base: nothing at all, or something not drawn.
  [[nodiscard]] double nothing_log(std::size_t bridge) const;
  [[nodiscard]] double not_drawn_log(std::size_t bridge) const;

  [[nodiscard]] const std::vector<Response>& responses(std::size_t bridge) const { return by_bridge_[bridge]; }
  [[nodiscard]] std::size_t bridges() const { return by_bridge_.size(); }
  [[nodiscard]] Load load_of(const Response& r) const;
  [[nodiscard]] Drive drive_of(const Response& r) const;
  // ADC channel of an analogue port; empty where the port has none.
  [[nodiscard]] std::optional<std::size_t> channel_of(std::size_t analogue_port) const;
  [[nodiscard]] const robot::Robot& robot() const { return robot_; }

 private:
  using StrengthLogs = std::array<double, strengths>;
  struct SensorLogs {  // relative to "did not move"
    std::array<std::array<StrengthLogs, sensor_states>, output_states.size()> logs{};
  };
  [[nodiscard]] Explanation explain(std::size_t output, std::size_t bridge, Seat encoder, Seat analogue);
  [[nodiscard]] const SensorLogs& encoder_logs(std::size_t output, std::size_t bridge, std::size_t port);
  [[nodiscard]] const SensorLogs& analogue_logs(std::size_t output, std::size_t bridge, std::size_t port);
  template <class LogOf, class ReadingOf, class JamOf, class RestOf, class RestIn>
  [[nodiscard]] SensorLogs sensor_logs(std::size_t output, std::size_t bridge, const robot::Input& input, LogOf log_of,
                                       ReadingOf reading_of, JamOf jam_of, RestOf rest_of, RestIn rest_in) const;
  template <class LogOf, class RestOf>
  [[nodiscard]] double hardly_followed(std::size_t output, std::size_t bridge, const OutputState& state,
                                       double per_radian, double slack, LogOf log_of, RestOf rest_of) const;
  [[nodiscard]] const StrengthLogs& load_logs(std::size_t output, std::size_t bridge, std::size_t state);
  [[nodiscard]] StrengthLogs loads_in(std::size_t output, std::size_t bridge, const OutputState& state) const;
  [[nodiscard]] double motor_load_log(std::size_t output, std::size_t bridge, const OutputState& state,
                                      double strength) const;
  [[nodiscard]] double shorted_load_log(std::size_t output, std::size_t bridge) const;
  [[nodiscard]] double place_log(std::size_t output, std::size_t bridge) const;
  [[nodiscard]] bool well_lit(std::size_t bridge) const;
  [[nodiscard]] bool small_motion(std::size_t output, std::size_t bridge) const;
  [[nodiscard]] double look_log(std::size_t bridge, std::optional<std::size_t> output, const OutputState& state) const;
  [[nodiscard]] const Expected& expected(std::size_t output, const Response& r, Way way) const;
  [[nodiscard]] const Expected& expected_free(std::size_t output, const Response& r) const;
  [[nodiscard]] const HeldBack& held_back_in(std::size_t output, const Response& r, Way way) const;
  [[nodiscard]] double lost_share(std::size_t output, const Expected& drawn) const;
  [[nodiscard]] const robot::Input* sensor_of(std::size_t output, robot::PointKind kind) const;

  const robot::Robot& robot_;
  std::vector<Look> looks_;
  std::vector<std::vector<Response>> by_bridge_;
  std::vector<bool> drawn_bridge_;
  double source_ohms_ = 0.05;
  std::map<std::tuple<std::size_t, std::size_t, std::size_t, std::size_t>, Explanation> kept_;
  std::map<std::tuple<std::size_t, std::size_t, std::size_t>, SensorLogs> encoders_, analogues_;
  std::map<std::tuple<std::size_t, std::size_t, std::size_t>, StrengthLogs> loads_;  // output, bridge, state
  mutable std::map<std::tuple<std::size_t, const Response*, Way>, Expected> expected_;
  mutable std::map<std::tuple<std::size_t, const Response*, Way>, HeldBack> held_back_;
  mutable std::map<std::pair<std::size_t, const Response*>, Expected> free_;
};

// Whether an output turns something (else it is only switched).
[[nodiscard]] bool turns(const robot::Robot& robot, const robot::Output& output);
[[nodiscard]] Steadiness steadiness(const OutputState& state);

// Prior of a sensor's state; an analogue sensor has no channels to lose.
[[nodiscard]] double sensor_state_log_prior(SensorState state, robot::PointKind kind);

}  // namespace ringout::prove
