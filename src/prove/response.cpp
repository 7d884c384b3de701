#include "prove/response.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace ringout::prove {

namespace {

using capture::Sample;

// Middle of a set of readings that may hold spikes: the mean of the middle 80 %.
struct Level {
  double mean = 0.0;
  double spread = 0.0;  // of one reading
  std::size_t count = 0;
};

Level level_of(std::vector<double> readings) {
  Level level;
  level.count = readings.size();
  if (readings.empty()) return level;
  std::sort(readings.begin(), readings.end());
  const std::size_t cut = readings.size() / 10;
  double sum = 0.0;
  for (std::size_t i = cut; i < readings.size() - cut; ++i) sum += readings[i];
  level.mean = sum / static_cast<double>(readings.size() - 2 * cut);
  std::vector<double> away;
  for (const double r : readings) away.push_back(std::abs(r - level.mean));
  std::sort(away.begin(), away.end());
  level.spread = 1.4826 * away[away.size() / 2];
  return level;
}

constexpr double step_error = 0.29;  // one step of a converter, as a standard deviation

// Error of the mean; neighbouring readings are not quite independent, hence the third of the count.
double error_of(const Level& level) {
  const double n = std::max(1.0, static_cast<double>(level.count) / 3.0);
  return std::max(level.spread, step_error) / std::sqrt(n);
}

// How far the means of a fifth of the readings stray from each other: slow wandering (an open input, hum) that
// averaging does not take away. What independent readings would stray by is taken off.
double wander_of(const std::vector<double>& readings) {
  constexpr std::size_t parts = 5;
  const std::size_t each = readings.size() / parts;
  if (each < 3) return 0.0;
  std::vector<double> means;
  for (std::size_t p = 0; p < parts; ++p) {
    const auto from = readings.begin() + static_cast<std::ptrdiff_t>(p * each);
    means.push_back(level_of({from, from + static_cast<std::ptrdiff_t>(each)}).mean);
  }
  const auto [low, high] = std::minmax_element(means.begin(), means.end());
  const Level all = level_of(readings);
  const double honest = 2.3 * error_of({all.mean, all.spread, each});
  return std::max(0.0, *high - *low - honest);
}

Change change_between(const std::vector<double>& before, const std::vector<double>& after) {
  if (before.empty() || after.empty()) return {0.0, 1e6};
  const Level a = level_of(before);
  const Level b = level_of(after);
  const double independent = std::hypot(error_of(a), error_of(b));
  return {b.mean - a.mean, std::hypot(independent, 0.05) + std::max(wander_of(before), wander_of(after))};
}

// The load current changes by itself within a bump, so only the quiet part tells how far its reading wanders.
Change loaded_change(const std::vector<double>& before, const std::vector<double>& driven) {
  if (before.empty() || driven.empty()) return {0.0, 1e6};
  const Level a = level_of(before);
  double sum = 0.0;
  for (const double r : driven) sum += r;
  const double n = static_cast<double>(driven.size());
  const double independent =
      std::hypot(error_of(a), std::max(a.spread, step_error) / std::sqrt(std::max(1.0, n / 3.0)));
  return {sum / n - a.mean, std::hypot(independent, 0.05) + wander_of(before)};
}

std::vector<double> channel(const std::vector<Sample>& samples, std::size_t adc, std::size_t from = 0) {
  std::vector<double> readings;
  for (std::size_t i = from; i < samples.size(); ++i) {
    if (adc < samples[i].adc.size()) readings.push_back(samples[i].adc[adc]);
  }
  return readings;
}

// The driven samples after the slope, where the level stands.
std::vector<Sample> plateau_of(const capture::BumpRecord& r) {
  const std::int64_t slope_us = r.command.slope_permille_per_ms > 0
                                    ? 1000LL * std::abs(r.command.level_permille) / r.command.slope_permille_per_ms
                                    : 0;
  std::vector<Sample> plateau;
  // The controller also slopes down at the end; its samples say which level stood.
  const auto stands = [&](const Sample& s) {
    return r.command.bridge >= s.levels_permille.size() ||
           s.levels_permille[r.command.bridge] == r.command.level_permille;
  };
  for (const Sample& s : r.during) {
    if (s.clock_us > r.started_us + slope_us + 1000 && stands(s)) plateau.push_back(s);
  }
  return plateau;
}

EncoderAnswer encoder_answer(const capture::BumpRecord& r, std::size_t e) {
  EncoderAnswer answer;
  std::vector<std::int32_t> quiet;
  std::vector<std::int32_t> moving;
  for (const Sample& s : r.before) quiet.push_back(s.encoders[e]);
  if (!quiet.empty()) moving.push_back(quiet.back());
  for (const Sample& s : r.during) moving.push_back(s.encoders[e]);
  for (const Sample& s : r.after) moving.push_back(s.encoders[e]);
  const auto activity = [](const std::vector<std::int32_t>& counts, int& changes, int& widest) {
    for (std::size_t i = 1; i < counts.size(); ++i) {
      if (counts[i] != counts[i - 1]) ++changes;
      widest = std::max(widest, std::abs(counts[i] - counts[0]));
    }
  };
  activity(quiet, answer.quiet_changes, answer.quiet_widest);
  activity(moving, answer.changes, answer.widest);
  if (!moving.empty()) answer.delta = moving.back() - moving.front();
  return answer;
}

// More readings far off the middle than spikes can explain are jumps; where it jumps half of the time, the middle
// itself is wide.
Rest rest_of(const std::vector<Sample>& quiet, std::size_t adc, const Level& level) {
  const double far = 10.0 * std::max(level.spread, 1.0);
  std::size_t off = 0;
  int steps = 0;
  for (std::size_t i = 0; i < quiet.size(); ++i) {
    off += std::abs(quiet[i].adc[adc] - level.mean) > far ? 1 : 0;
    if (i > 0 && std::abs(quiet[i].adc[adc] - quiet[i - 1].adc[adc]) > 20) ++steps;
  }
  if (steps > 0 && (off * 25 > quiet.size() || level.spread > 20.0)) return Rest::jumps;
  return wander_of(channel(quiet, adc)) > 3.0 ? Rest::wanders : Rest::still;
}

// The current of the start and of what follows, each against the quiet part.
void split_current(const capture::BumpRecord& r, std::size_t adc, Response& out) {
  const double slope_s = out.slope_per_s > 0.0 ? std::abs(out.level) / out.slope_per_s : 0.0;
  const std::int64_t split_us = r.started_us + static_cast<std::int64_t>((slope_s + start_window_s) * 1e6);
  if (r.ended_us < split_us + 20'000) return;
  std::vector<Sample> start;
  std::vector<Sample> later;
  for (const Sample& s : r.during) {
    if (s.clock_us >= r.ended_us) continue;
    (s.clock_us <= split_us ? start : later).push_back(s);
  }
  if (start.size() < 4 || later.size() < 4) return;
  const std::vector<double> before = channel(r.before, adc);
  out.starting = loaded_change(before, channel(start, adc));
  out.running = loaded_change(before, channel(later, adc));
  // A reading of 0 at rest is cut off at zero, so the mean of the rest lies above what is there, which is nothing; and
  // a converter cuts off what is below a step, half of one on average.
  if (before.empty() || *std::min_element(before.begin(), before.end()) > 0.0) return;
  const double rest = level_of(before).mean;
  for (Change* part : {&*out.starting, &*out.running}) {
    part->delta += rest + 0.5;
    part->error = std::hypot(part->error, step_error);
  }
}

// Gaps: runs of at least 4 ms without current, after which it came back. A motor's current falls as it gains speed, so
// a current that ends low is no gap.
void find_gaps(const std::vector<Sample>& plateau, std::size_t adc, const Level& before, Response& out) {
  std::vector<double> current = channel(plateau, adc);
  if (current.size() < 8) return;
  // The middle one of three neighbours, so that one spike is no gap.
  std::vector<double> smooth;
  for (std::size_t i = 1; i + 1 < current.size(); ++i) {
    const auto [low, high] = std::minmax(current[i - 1], current[i]);
    smooth.push_back(std::clamp(current[i + 1], low, high) - before.mean);
  }
  std::vector<double> sorted = smooth;
  std::sort(sorted.begin(), sorted.end());
  const double upper = sorted[sorted.size() * 3 / 4];
  out.gaps_visible = upper > 8.0 * std::max(before.spread, step_error) + 3.0;
  if (!out.gaps_visible) return;
  std::size_t in_gaps = 0;
  std::int64_t run_start_us = 0;
  std::size_t run = 0;
  const auto close_run = [&](std::int64_t end_us) {
    if (run >= 2 && end_us - run_start_us >= 4000) in_gaps += run;
    run = 0;
  };
  for (std::size_t i = 0; i < smooth.size(); ++i) {
    const std::int64_t at_us = plateau[i + 1].clock_us;
    if (smooth[i] < upper / 6.0) {
      if (run == 0) run_start_us = at_us;
      ++run;
    } else if (smooth[i] > upper / 2.0) {
      close_run(at_us);
    }
  }
  out.load_gaps = static_cast<double>(in_gaps) / static_cast<double>(smooth.size());
}

}  // namespace

double supply_volts(const robot::Board& board, double raw) {
  return raw / std::pow(2.0, board.adc_bits) * board.logic.si * board.supply_divider_ratio;
}

double bank_amperes(const robot::Board& board, const robot::BoardBank& bank, double raw) {
  if (bank.sense_volts_per_ampere <= 0.0) return 0.0;
  return raw / std::pow(2.0, board.adc_bits) * board.logic.si / bank.sense_volts_per_ampere;
}

const robot::BoardBank* bank_of(const robot::Board& board, std::uint8_t bridge) {
  for (const robot::BoardPort& port : board.ports) {
    if (port.kind != robot::PortKind::bridge || port.index != bridge) continue;
    for (const robot::BoardBank& bank : board.banks) {
      if (bank.name == port.bank) return &bank;
    }
  }
  return nullptr;
}

Response response_of(const robot::Robot& robot, const capture::BumpRecord& r) {
  Response out;
  out.bridge = r.command.bridge;
  out.level = r.command.level_permille / 1000.0;
  out.slope_per_s = r.command.slope_permille_per_ms;
  out.driven_s = static_cast<double>(std::max<std::int64_t>(0, r.ended_us - r.started_us)) * 1e-6;
  const std::vector<Sample> plateau = plateau_of(r);
  std::size_t encoders = r.before.empty() ? 0 : r.before[0].encoders.size();
  for (const auto* part : {&r.before, &r.during, &r.after}) {
    for (const Sample& s : *part) encoders = std::min(encoders, s.encoders.size());
  }
  for (std::size_t e = 0; e < encoders; ++e) out.encoders.push_back(encoder_answer(r, e));
  const std::size_t channels = r.before.empty() ? 0 : r.before[0].adc.size();
  const std::size_t rest_from = r.after.size() * 6 / 10;
  for (std::size_t c = 0; c < channels; ++c) {
    const Level before = level_of(channel(r.before, c));
    out.moved.push_back(change_between(channel(r.before, c), channel(r.after, c, rest_from)));
    out.rest.push_back(rest_of(r.before, c, before));
    out.loaded.push_back(loaded_change(channel(r.before, c), channel(plateau, c)));
    if (c != robot.board.supply_adc) continue;
    out.rest_volts = supply_volts(robot.board, before.mean + 0.5);
    const std::vector<double> driven = channel(r.during, c);
    const double lowest = driven.empty() ? before.mean : *std::min_element(driven.begin(), driven.end());
    out.lowest_volts = supply_volts(robot.board, lowest + 0.5);
    const double volts_per_step = supply_volts(robot.board, 1.0);
    out.sag_volts = {-out.loaded[c].delta * volts_per_step, out.loaded[c].error * volts_per_step};
  }
  const robot::BoardBank* bank = bank_of(robot.board, out.bridge);
  if (bank != nullptr && bank->sense_adc && *bank->sense_adc < channels) {
    split_current(r, *bank->sense_adc, out);
    find_gaps(plateau, *bank->sense_adc, level_of(channel(r.before, *bank->sense_adc)), out);
  }
  return out;
}

}  // namespace ringout::prove
