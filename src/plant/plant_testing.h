// For tests of the plant: the demonstration robot by names, and a counter as a controller would have it.
#pragma once

#include <string>

#include "plant/plant.h"
#include "robot/testing.h"

namespace ringout::plant::testing {

[[nodiscard]] inline const robot::Robot& carrier() {
  static const robot::Robot r = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return r;
}

[[nodiscard]] inline std::uint8_t bridge_of(const std::string& output) {
  return carrier().port_of(carrier().output(output)->port).index;
}

[[nodiscard]] inline std::uint8_t port_of(const std::string& input) {
  return carrier().port_of(carrier().input(input)->port).index;
}

inline void run(Plant& p, int milliseconds) {
  for (int n = 0; n < milliseconds; ++n) p.step(Duration::milliseconds(1));
}

[[nodiscard]] inline MotorTruth motor(const Plant& p, const std::string& name) {
  for (const MotorTruth& m : p.truth().motors) {
    if (m.point == name) return m;
  }
  return {};
}

[[nodiscard]] inline Deviations deviating(Deviation d) {
  Deviations all;
  all.all.push_back(std::move(d));
  return all;
}

// Counts as a controller would: channel A leading is positive.
struct Counter {
  std::uint8_t port = 0;
  bool a = true, b = true;
  int counts = 0;
  int edges_a = 0, edges_b = 0;

  Counter(const Plant& p, const std::string& input)
      : port(port_of(input)), a(p.encoder_level(port, false)), b(p.encoder_level(port, true)) {}
  void take(const Plant& p) {
    for (const Edge& e : p.edges()) {
      if (e.encoder != port) continue;
      const bool forward = e.channel_b ? (e.level == a) : (e.level != b);
      (e.channel_b ? b : a) = e.level;
      (e.channel_b ? edges_b : edges_a) += 1;
      counts += forward ? 1 : -1;
    }
  }
  void run(Plant& p, int milliseconds) {
    for (int n = 0; n < milliseconds; ++n) {
      p.step(Duration::milliseconds(1));
      take(p);
    }
  }
};

}  // namespace ringout::plant::testing
