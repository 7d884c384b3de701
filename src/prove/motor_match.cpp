#include "prove/motor_match.h"

#include <algorithm>
#include <cmath>

#include "prove/assignment.h"
#include "prove/prior.h"

namespace ringout::prove {

namespace {

// Seen over expected for motors that are as drawn: centre and scatter (standard deviation of the logarithm). Measured
// by motor_scatter 5001 40 on the simulated robot: by kind of motor 1.01 to 1.13 at the start, 1.01 to 1.24
// running, 1.03 to 1.11 in travel, about which single motors scatter by 0.03 to 0.09. The scatters taken are those of
// all motors together, about one centre; a real robot's would have to be measured on real robots.
struct Scatter {
  double centre;
  double spread;
};
constexpr Scatter start_scatter{1.04, 0.07};
constexpr Scatter running_scatter{1.08, 0.11};
constexpr Scatter travel_scatter{1.07, 0.10};
constexpr double rare = 1e-3;       // share of readings that no motor of the catalogue explains
constexpr double rare_range = 4.0;  // their width, over the expected value

double figure_log(double seen, double expected_by_drawing, const Scatter& scatter, double error) {
  const double expected = scatter.centre * expected_by_drawing;
  const double scale = std::max({expected, seen, 1e-3});
  const double sd = std::hypot(scatter.spread * expected, error) / scale;
  const double z = (seen - expected) / (scale * sd);
  return log_add(-0.5 * z * z - std::log(sd * scale) - 0.9189385332046727, std::log(rare / (rare_range * scale)));
}

}  // namespace

MotorAnswer motor_answer(const Explanations& x, std::size_t bridge, std::optional<double> travel) {
  MotorAnswer seen;
  seen.travel = travel;
  const robot::Board& board = x.robot().board;
  const robot::BoardBank* bank = bank_of(board, static_cast<std::uint8_t>(bridge));
  if (bank == nullptr || bank->sense_volts_per_ampere <= 0.0) return seen;
  Measured start;
  Measured running;
  double count = 0.0;
  for (const Response& r : x.responses(bridge)) {
    if (!r.starting || !r.running) continue;
    start.value += bank_amperes(board, *bank, r.starting->delta);
    start.error += bank_amperes(board, *bank, r.starting->error);
    running.value += bank_amperes(board, *bank, r.running->delta);
    running.error += bank_amperes(board, *bank, r.running->error);
    count += 1.0;
  }
  if (count == 0.0) return seen;
  // What the converter's steps cut off is much the same in every bump: repeating does not take it away.
  const auto mean = [count](const Measured& m) { return Measured{m.value / count, m.error / count}; };
  seen.start = mean(start);
  seen.running = mean(running);
  return seen;
}

MotorWanted motor_wanted(const Explanations& x, const robot::Output& output, const robot::MotorDevice& motor,
                         std::size_t bridge, int sign) {
  MotorWanted wanted;
  double count = 0.0;
  for (const Response& r : x.responses(bridge)) {
    if (!r.starting || !r.running) continue;
    const bool forward = (r.level > 0.0) == (sign >= 0);
    const Expected e = expected_with(x.robot(), output, motor, x.drive_of(r), forward ? Way::positive : Way::negative);
    wanted.start += e.start_amperes;
    wanted.running += e.running_amperes;
    wanted.shaft_rad += e.shaft_rad;
    count += 1.0;
  }
  if (count == 0.0) return wanted;
  return {wanted.start / count, wanted.running / count, wanted.shaft_rad / count};
}

std::vector<MotorCandidate> motor_candidates(const Explanations& x, const robot::Output& output, std::size_t bridge,
                                             int sign, const MotorAnswer& seen) {
  std::vector<MotorCandidate> all;
  if (!seen.start && !seen.travel) return all;
  const auto* own = x.robot().device_of(output.device).as<robot::MotorDevice>();
  const double drawn_rad = motor_wanted(x, output, *own, bridge, sign).shaft_rad;
  std::vector<double> logs;
  double others = 0.0;
  for (const robot::Device& d : x.robot().catalogue.devices)
    others += d.as<robot::MotorDevice>() != nullptr ? 1.0 : 0.0;
  others = std::max(1.0, others - 1.0);
  for (const robot::Device& d : x.robot().catalogue.devices) {
    const auto* motor = d.as<robot::MotorDevice>();
    if (motor == nullptr) continue;
    const MotorWanted wanted = motor_wanted(x, output, *motor, bridge, sign);
    double log_p = 0.0;
    if (seen.start) log_p += figure_log(seen.start->value, wanted.start, start_scatter, seen.start->error);
    if (seen.running) log_p += figure_log(seen.running->value, wanted.running, running_scatter, seen.running->error);
    if (seen.travel && drawn_rad > 0.0) {
      log_p += figure_log(*seen.travel, wanted.shaft_rad / drawn_rad, travel_scatter, 0.02);
    }
    all.push_back({.device = d.name, .likelihood = log_p});
    logs.push_back(log_p + std::log(d.name == output.device ? 1.0 - prior::other_motor : prior::other_motor / others));
  }
  if (all.empty()) return all;
  const double total = log_sum(logs);
  double best = all[0].likelihood;
  for (const MotorCandidate& c : all) best = std::max(best, c.likelihood);
  for (std::size_t i = 0; i < all.size(); ++i) {
    all[i].probability = std::exp(logs[i] - total);
    all[i].likelihood = std::exp(all[i].likelihood - best);
  }
  std::stable_sort(all.begin(), all.end(),
                   [](const MotorCandidate& a, const MotorCandidate& b) { return a.probability > b.probability; });
  return all;
}

}  // namespace ringout::prove
