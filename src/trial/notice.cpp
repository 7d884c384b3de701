#include "trial/notice.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

#include "plant/plant.h"

namespace ringout::trial {

namespace {

using faults::Symptom;

constexpr int worked_ms = 1500;
constexpr int counted_from_ms = 300;
constexpr double at_rest = 0.03;    // of the way that a sound one makes: seen as not moving
constexpr double slow = 0.7;        // of it: seen as weak
constexpr double hesitates = 0.25;  // of its own mean speed
constexpr double follows = 0.85;    // of what a sensor should say
constexpr double little_level = 0.25;
constexpr double flickers = 0.85;  // of the time that a sound lamp or pump is on
constexpr int tries_by_hand = 5;

// One output worked as the program would: how far each mechanism went, what acted, what its sensors said.
struct Worked {
  std::vector<double> way;  // by motor of Truth
  std::vector<std::string> motors;
  std::vector<plant::Seen> seen;
  double slowest = 0.0, mean = 0.0;  // own speed, from counted_from_ms on, over 50 ms
  std::vector<double> counted;       // by input: net edges of an encoder, volts of an analogue sensor
  [[nodiscard]] double own(const std::string& output) const {
    for (std::size_t i = 0; i < motors.size(); ++i) {
      if (motors[i] == output) return way[i];
    }
    return 0.0;
  }
  // Of something that is on or off: seconds on.
  [[nodiscard]] double acted(const std::string& output) const {
    for (const plant::Seen& s : seen) {
      if (s.point == output) return s.amount;
    }
    return 0.0;
  }
};

struct Counter {
  bool a = false, b = false;
};

class Work {
 public:
  Work(const robot::Robot& robot, const plant::Deviations& deviations, std::uint64_t seed)
      : robot_(robot), plant_(robot, deviations, seed) {}

  Worked output(const robot::Output& o, double level) {
    Worked out;
    const plant::Truth before = plant_.truth();
    const auto own = std::find_if(before.motors.begin(), before.motors.end(),
                                  [&](const plant::MotorTruth& m) { return m.point == o.name; });
    const auto at = static_cast<std::size_t>(own - before.motors.begin());
    start_counting(out);
    static_cast<void>(plant_.look());
    const robot::BoardPort& port = robot_.port_of(o.port);
    // Without its supply the controller drives nothing.
    const double duty = supply() < robot_.board.supply_low.si ? 0.0 : o.reversed ? -level : level;
    plant_.command(port.index, {.duty = duty, .when_off = o.off});
    double last = at < before.motors.size() ? before.motors[at].position : 0.0;
    std::vector<double> speeds;
    for (int ms = 1; ms <= worked_ms; ++ms) {
      plant_.step(Duration::milliseconds(1));
      count(out);
      if (ms % 50 != 0 || at >= before.motors.size()) continue;
      const double now = plant_.truth().motors[at].position;
      if (ms > counted_from_ms) speeds.push_back(std::abs(now - last));
      last = now;
    }
    plant_.command(port.index, {.duty = 0.0, .when_off = o.off});
    const plant::Truth after = plant_.truth();
    for (std::size_t i = 0; i < after.motors.size(); ++i) {
      out.motors.push_back(after.motors[i].point);
      out.way.push_back(after.motors[i].position - before.motors[i].position);
    }
    out.seen = plant_.look();
    for (std::size_t i = 0; i < robot_.inputs.size(); ++i) {
      if (const auto volts = analogue(robot_.inputs[i])) out.counted[i] = *volts - out.counted[i];
    }
    if (!speeds.empty()) {
      for (const double s : speeds) out.mean += s / static_cast<double>(speeds.size());
      out.slowest = *std::min_element(speeds.begin(), speeds.end());
    }
    return out;
  }

  // How an input changes each time that a hand works it: what is left of it while it is held.
  std::vector<double> by_hand(const robot::Input& i, int tries) {
    std::vector<double> changes;
    for (int n = 0; n < tries; ++n) {
      const double before = says(i);
      plant_.work_by_hand(i.name, true);
      wait(100);
      double least = says(i) - before;
      for (int look = 0; look < 10; ++look) {
        wait(10);
        const double now = says(i) - before;
        if (std::abs(now) < std::abs(least)) least = now;
      }
      changes.push_back(least);
      plant_.work_by_hand(i.name, false);
      wait(100);
    }
    return changes;
  }

 private:
  void wait(int milliseconds) {
    for (int ms = 0; ms < milliseconds; ++ms) plant_.step(Duration::milliseconds(1));
  }

  [[nodiscard]] double supply() {
    wait(1);
    return plant_.adc_pin(robot_.board.supply_adc).si * robot_.board.supply_divider_ratio;
  }

  [[nodiscard]] std::optional<double> analogue(const robot::Input& i) const {
    const robot::BoardPort& port = robot_.port_of(i.port);
    if (i.kind != robot::PointKind::analogue) return std::nullopt;
    const auto channel = port.adc_channel;
    if (!channel) return std::nullopt;
    double sum = 0;
    constexpr int times = 8;
    for (int n = 0; n < times; ++n) sum += plant_.adc_pin(*channel).si * port.divider_ratio / times;
    return sum;
  }

  [[nodiscard]] double says(const robot::Input& i) {
    if (const auto volts = analogue(i)) return *volts;
    return plant_.switch_level(robot_.port_of(i.port).index) ? 1.0 : 0.0;
  }

  void start_counting(Worked& out) {
    out.counted.assign(robot_.inputs.size(), 0.0);
    counters_.assign(robot_.inputs.size(), {});
    for (std::size_t i = 0; i < robot_.inputs.size(); ++i) {
      const robot::Input& input = robot_.inputs[i];
      const std::uint8_t port = robot_.port_of(input.port).index;
      if (input.kind == robot::PointKind::encoder)
        counters_[i] = {plant_.encoder_level(port, false), plant_.encoder_level(port, true)};
      if (const auto volts = analogue(input)) out.counted[i] = *volts;
    }
  }

  void count(Worked& out) {
    for (const plant::Edge& e : plant_.edges()) {
      for (std::size_t i = 0; i < robot_.inputs.size(); ++i) {
        const robot::Input& input = robot_.inputs[i];
        if (input.kind != robot::PointKind::encoder || robot_.port_of(input.port).index != e.encoder) continue;
        Counter& c = counters_[i];
        const bool forward = e.channel_b ? e.level == c.a : e.level != c.b;
        (e.channel_b ? c.b : c.a) = e.level;
        out.counted[i] += forward ? 1 : -1;
      }
    }
  }

  const robot::Robot& robot_;
  plant::Plant plant_;
  std::vector<Counter> counters_;
};

bool turns(const robot::Output& o) {
  return o.kind == robot::PointKind::bridge_motor;
}

double level_of(const std::string& point, const std::vector<Miscommand>& program) {
  for (const Miscommand& m : program) {
    if (m.point != point) continue;
    if (m.how == Miscommand::How::nothing) return 0.0;
    if (m.how == Miscommand::How::little) return little_level;
    if (m.how == Miscommand::How::wrong_sign) return -1.0;
  }
  return 1.0;
}

std::optional<Symptom> of_output(const robot::Output& o, const Worked& sound, const Worked& now) {
  const bool other =
      std::any_of(now.seen.begin(), now.seen.end(), [&](const plant::Seen& s) { return s.point != o.name; });
  if (!turns(o)) {
    if (now.acted(o.name) > flickers * sound.acted(o.name)) return std::nullopt;
    if (now.acted(o.name) > 0.0) return Symptom::stops;
    return other ? Symptom::another_acts : Symptom::nothing;
  }
  const double whole = sound.own(o.name);
  const double ratio = whole != 0.0 ? now.own(o.name) / whole : 1.0;
  if (std::abs(ratio) < at_rest) return other ? Symptom::another_acts : Symptom::nothing;
  if (ratio < 0) return Symptom::wrong_way;
  if (sound.mean > 0 && now.slowest < hesitates * now.mean && sound.slowest >= hesitates * sound.mean)
    return Symptom::stops;
  if (ratio < slow) return Symptom::weak;
  return std::nullopt;
}

std::optional<Symptom> of_hand(const std::vector<double>& changes, double should) {
  const auto still = std::count_if(changes.begin(), changes.end(),
                                   [&](double does) { return std::abs(does) < 0.2 * std::abs(should); });
  if (still == tries_by_hand) return Symptom::unchanging;
  const double mean = std::accumulate(changes.begin(), changes.end(), 0.0) / tries_by_hand;
  const bool follows_it = mean / should > follows && mean / should < 1 / follows;
  return still > 0 || !follows_it ? std::optional(Symptom::reads_wrong) : std::nullopt;
}

}  // namespace

std::vector<faults::Trouble> noticed(const robot::Robot& robot, const plant::Deviations& deviations,
                                     const std::vector<Miscommand>& program, std::uint64_t seed) {
  plant::Deviations sound_robot = deviations;
  sound_robot.all.clear();
  std::vector<faults::Trouble> out;
  std::vector<bool> moved(robot.outputs.size(), false);
  std::vector<Worked> sound, now;
  for (std::size_t n = 0; n < robot.outputs.size(); ++n) {
    const robot::Output& o = robot.outputs[n];
    sound.push_back(Work(robot, sound_robot, seed).output(o, o.max_level));
    now.push_back(Work(robot, deviations, seed).output(o, o.max_level * level_of(o.name, program)));
    const auto trouble = of_output(o, sound[n], now[n]);
    moved[n] = !trouble && now[n].acted(o.name) > 0.0;
    if (trouble) out.push_back({o.name, *trouble});
  }
  for (const Miscommand& m : program) {
    if (m.how == Miscommand::How::unasked) out.push_back({m.point, Symptom::unasked});
    if (m.how == Miscommand::How::reads_wrongly) out.push_back({m.point, Symptom::reads_wrong});
  }
  for (std::size_t i = 0; i < robot.inputs.size(); ++i) {
    const robot::Input& input = robot.inputs[i];
    const bool watches = input.senses == robot::SensesWhat::output_motion;
    if (input.kind == robot::PointKind::switch_input || !watches) {
      const double should = Work(robot, sound_robot, seed).by_hand(input, 1).front();
      if (const auto trouble = of_hand(Work(robot, deviations, seed).by_hand(input, tries_by_hand), should))
        out.push_back({input.name, *trouble});
      continue;
    }
    for (std::size_t n = 0; n < robot.outputs.size(); ++n) {
      if (robot.outputs[n].name != input.senses_output || !moved[n]) continue;
      const double should = sound[n].counted[i];
      const double does = now[n].counted[i];
      // The way itself may be a little longer or shorter than that of the sound one.
      const double way = turns(robot.outputs[n]) && sound[n].own(robot.outputs[n].name) != 0.0
                             ? now[n].own(robot.outputs[n].name) / sound[n].own(robot.outputs[n].name)
                             : 1.0;
      if (should == 0.0) continue;
      const double ratio = does / (should * way);
      if (std::abs(ratio) < 0.1) {
        out.push_back({input.name, Symptom::unchanging});
      } else if (ratio < follows || ratio > 1 / follows) {
        out.push_back({input.name, Symptom::reads_wrong});
      }
    }
  }
  return out;
}

}  // namespace ringout::trial
