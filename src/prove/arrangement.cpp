#include "prove/arrangement.h"

#include <algorithm>
#include <cmath>

#include "prove/prior.h"

namespace ringout::prove {

namespace {

class Placing {
 public:
  Placing(const std::vector<MotionSensor>& sensors, const std::vector<bool>& in_use, std::size_t most_moved)
      : sensors_(sensors), in_use_(in_use), most_moved_(most_moved), taken_(in_use.size(), false) {
    now_.port.resize(sensors.size());
  }

  std::vector<Arrangement> all() {
    place(0, 0, 0.0);
    return std::move(all_);
  }

 private:
  void place(std::size_t s, std::size_t moved, double log_prior) {
    if (s == sensors_.size()) {
      keep(log_prior);
      return;
    }
    const std::size_t drawn = sensors_[s].drawn;
    put(s, drawn, moved, log_prior);
    if (moved == most_moved_) return;
    for (std::size_t p = 0; p < taken_.size(); ++p) {
      if (p == drawn) continue;
      const double chance = in_use_[p] ? prior::sensor_displaced : prior::sensor_moved_to_spare;
      put(s, p, moved + 1, log_prior + std::log(chance));
    }
    now_.port[s].reset();
    place(s + 1, moved + 1, log_prior + std::log(prior::sensor_silent));
  }

  void put(std::size_t s, std::size_t p, std::size_t moved, double log_prior) {
    if (taken_[p]) return;
    taken_[p] = true;
    now_.port[s] = p;
    place(s + 1, moved, log_prior);
    taken_[p] = false;
  }

  // A sensor on no port is told from a silent one only where another sits on its own port.
  void keep(double log_prior) {
    for (std::size_t s = 0; s < sensors_.size(); ++s) {
      if (!now_.port[s] && !taken_[sensors_[s].drawn]) return;
    }
    now_.log_prior = log_prior;
    all_.push_back(now_);
  }

  const std::vector<MotionSensor>& sensors_;
  const std::vector<bool>& in_use_;
  std::size_t most_moved_;
  std::vector<bool> taken_;
  Arrangement now_;
  std::vector<Arrangement> all_;
};

}  // namespace

std::vector<Arrangement> arrangements(const std::vector<MotionSensor>& sensors, std::size_t ports,
                                      const std::vector<bool>& in_use, std::size_t most_moved) {
  std::vector<bool> used = in_use;
  used.resize(ports, false);
  return Placing(sensors, used, most_moved).all();
}

std::vector<MotionSensor> motion_sensors(const robot::Robot& robot, robot::PointKind kind) {
  std::vector<MotionSensor> sensors;
  for (const robot::Input& in : robot.inputs) {
    if (in.kind != kind || in.senses != robot::SensesWhat::output_motion) continue;
    for (std::size_t o = 0; o < robot.outputs.size(); ++o) {
      const bool second = std::any_of(sensors.begin(), sensors.end(), [o](const auto& s) { return s.output == o; });
      if (!second && robot.outputs[o].name == in.senses_output)
        sensors.push_back({&in, o, robot.port_of(in.port).index});
    }
  }
  return sensors;
}

std::vector<bool> ports_in_use(const robot::Robot& robot, robot::PointKind kind, std::size_t ports) {
  std::vector<bool> used(ports, false);
  for (const robot::Input& in : robot.inputs) {
    if (in.kind != kind) continue;
    const std::size_t p = robot.port_of(in.port).index;
    if (p < ports) used[p] = true;
  }
  return used;
}

}  // namespace ringout::prove
