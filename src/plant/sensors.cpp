#include "plant/sensors.h"

#include <algorithm>
#include <cmath>

namespace ringout::plant {
namespace {

// Where the four edges of a line stand, in counts off their even places.
constexpr double uneven[4] = {0.0, 0.06, -0.03, 0.05};
constexpr int most_edges_per_step = 512;
constexpr double hand_counts_per_radian_rate = 2.0;  // rad/s of a wheel turned by hand
constexpr double range_refresh_s = 0.033;
constexpr double free_share = 0.75;  // of a range sensor's span: what stands about; by hand: a board held near
constexpr double near_share = 0.2;

double crossing(std::int64_t quarter) {
  return static_cast<double>(quarter) + uneven[quarter & 3];
}

}  // namespace

void EncoderState::start(double shaft) {
  counts = shaft * counts_per_radian + 0.5;
  quarter = static_cast<std::int64_t>(std::floor(counts));
  std::vector<Edge> none;
  show(true, {}, none);
}

// Gray code of the quarter: 0: neither, 1: A, 2: both, 3: B.
void EncoderState::show(bool connected, Duration at, std::vector<Edge>& edges) {
  const int phase = static_cast<int>(quarter & 3);
  const bool a = !connected || silent || dead_a || phase == 1 || phase == 2;
  const bool b = !connected || silent || dead_b || phase == 2 || phase == 3;
  if (a != shown_a) {
    shown_a = a;
    edges.push_back({.offset = at, .encoder = port, .channel_b = false, .level = a});
  }
  if (b != shown_b) {
    shown_b = b;
    edges.push_back({.offset = at, .encoder = port, .channel_b = true, .level = b});
  }
}

void EncoderState::step(double shaft, Duration dt, bool connected, std::vector<Edge>& edges) {
  show(connected, {}, edges);
  if (worked) by_hand += std::abs(counts_per_radian) * hand_counts_per_radian_rate * dt.in_seconds();
  const double from = counts;
  const double to = shaft * counts_per_radian + 0.5 + (counts_per_radian < 0.0 ? -by_hand : by_hand);
  counts = to;
  if (to == from) return;
  const double per_count = static_cast<double>(dt.ns) / (to - from);
  int left = most_edges_per_step;
  const auto at = [&](double count) {
    return Duration{std::clamp(static_cast<std::int64_t>((count - from) * per_count), std::int64_t{0}, dt.ns)};
  };
  while (to >= crossing(quarter + 1) && left-- > 0) {
    ++quarter;
    show(connected, at(crossing(quarter)), edges);
  }
  while (to < crossing(quarter) && left-- > 0) {
    --quarter;
    show(connected, at(crossing(quarter + 1)), edges);
  }
}

void SwitchState::step(double shaft, double dt) {
  if (trigger == Trigger::low_end) by_mechanism = shaft <= (by_mechanism ? releases_at : trips_at);
  if (trigger == Trigger::high_end) by_mechanism = shaft >= (by_mechanism ? releases_at : trips_at);
  const bool now = worked || by_mechanism;
  if (now != pressed) {
    pressed = now;
    bouncing = bounce_s;
  } else if (bouncing > 0.0) {
    bouncing -= dt;
  }
}

bool SwitchState::closed(bool connected, std::uint64_t chance) const {
  if (!connected || silent) return false;
  if (stuck) return true;
  if (bouncing > 0.0) return (chance & 1) != 0;
  return pressed != normally_closed;
}

double AnalogueState::volts(double shaft) const {
  if (stuck) return 0.5 * (low_volts + high_volts);
  double value = axis >= 0 ? shaft * per_radian : low_value;
  if (distance && axis < 0) value = low_value + (worked ? near_share : free_share) * (high_value - low_value);
  double share = (value - low_value) / (high_value - low_value);
  if (worked && !distance) share += 0.1;
  share = std::clamp(share, 0.0, 1.0);
  if (falling) share = 1.0 - share;
  return low_volts + share * (high_volts - low_volts);
}

void AnalogueState::step(double shaft, double dt) {
  if (!distance) {
    held = volts(shaft);
    return;
  }
  refresh -= dt;
  if (refresh > 0.0) return;
  refresh += range_refresh_s;
  held = volts(shaft);
}

double pin_noise(double rms, std::uint64_t bits) {
  const double bell = rms * bell_of(bits);
  return (mixed(bits) & 0xFFF) == 0 ? 25.0 * bell : bell;
}

}  // namespace ringout::plant
