#include "random_robot.h"

#include <algorithm>
#include <optional>
#include <random>
#include <set>

namespace ringout::scenarios {

namespace {

using plant::Deviation;
using plant::DeviationKind;
using robot::PortKind;
using robot::Robot;

class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_(seed * 0x9E3779B97F4A7C15ULL + 1) {}
  std::size_t below(std::size_t n) { return static_cast<std::size_t>(engine_() % n); }
  bool one_in(std::size_t n) { return below(n) == 0; }
  double between(double low, double high) {
    return low + (high - low) * static_cast<double>(engine_() >> 11) * 0x1.0p-53;
  }
  template <class T>
  void shuffle(std::vector<T>& v) {
    for (std::size_t i = v.size(); i > 1; --i) std::swap(v[i - 1], v[below(i)]);
  }

 private:
  std::mt19937_64 engine_;
};

std::vector<std::string> port_names(const Robot& r, PortKind kind) {
  std::vector<std::string> names;
  for (const robot::BoardPort* p : r.board.of_kind(kind)) names.push_back(p->name);
  return names;
}

template <class Points>
void deal_ports(Robot& r, Points& points, PortKind kind, Dice& dice) {
  std::vector<std::string> names = port_names(r, kind);
  dice.shuffle(names);
  std::size_t next = 0;
  for (auto& p : points) {
    if (r.port_of(p.port).kind == kind) p.port = names[next++];
  }
}

void vary(robot::Mechanism& m, Dice& dice) {
  m.gear_ratio *= dice.between(0.8, 1.3);
  m.friction = m.friction * dice.between(0.7, 1.1);
  m.inertia = m.inertia * dice.between(0.6, 1.3);
  m.lifted = m.lifted * dice.between(0.5, 1.0);
  m.backlash = m.backlash * dice.between(0.2, 1.2);
}

bool is_motor(const robot::Output& o) {
  return o.mechanism.has_value();
}

struct Pick {
  const Robot& drawn;
  Dice& dice;
  std::set<std::string> touched;  // points that already have a deviation of their own

  std::optional<std::string> output(bool motors_only) {
    std::vector<std::string> names;
    for (const auto& o : drawn.outputs) {
      if ((!motors_only || is_motor(o)) && touched.count(o.name) == 0) names.push_back(o.name);
    }
    return take(names);
  }
  std::optional<std::string> input(std::optional<robot::PointKind> kind) {
    std::vector<std::string> names;
    for (const auto& i : drawn.inputs) {
      if ((!kind || i.kind == *kind) && touched.count(i.name) == 0) names.push_back(i.name);
    }
    return take(names);
  }
  std::optional<std::string> any() { return dice.one_in(2) ? output(false) : input(std::nullopt); }
  std::optional<std::string> partner(const std::string& name) {
    std::vector<std::string> names;
    if (drawn.output(name) != nullptr) {
      for (const auto& o : drawn.outputs) {
        if (o.name != name && touched.count(o.name) == 0) names.push_back(o.name);
      }
    } else {
      const PortKind kind = drawn.port_of(drawn.input(name)->port).kind;
      for (const auto& i : drawn.inputs) {
        if (i.name != name && drawn.port_of(i.port).kind == kind && touched.count(i.name) == 0) names.push_back(i.name);
      }
    }
    return take(names);
  }

 private:
  std::optional<std::string> take(const std::vector<std::string>& names) {
    if (names.empty()) return std::nullopt;
    return names[dice.below(names.size())];
  }
};

std::optional<std::string> free_port(const Robot& drawn, const std::string& point, const std::set<std::string>& used,
                                     Dice& dice) {
  const std::string& drawn_port = drawn.output(point) != nullptr ? drawn.output(point)->port : drawn.input(point)->port;
  std::vector<std::string> names;
  for (const std::string& name : port_names(drawn, drawn.port_of(drawn_port).kind)) {
    bool taken = used.count(name) != 0;
    for (const auto& o : drawn.outputs) taken = taken || o.port == name;
    for (const auto& i : drawn.inputs) taken = taken || i.port == name;
    if (!taken) names.push_back(name);
  }
  if (names.empty()) return std::nullopt;
  return names[dice.below(names.size())];
}

// A feed whose loss is not the loss of everything.
std::optional<std::string> branch_protection(const Robot& drawn, Dice& dice) {
  std::vector<std::string> names;
  for (const auto& p : drawn.protections) {
    for (const auto& o : drawn.outputs) {
      if (o.fed_by == p.name) {
        names.push_back(p.name);
        break;
      }
    }
  }
  if (names.empty()) return std::nullopt;
  return names[dice.below(names.size())];
}

std::string other_device(const Robot& drawn, const std::string& device, Dice& dice) {
  std::vector<std::string> names;
  for (const robot::Device& d : drawn.catalogue.devices) {
    if (d.name != device && d.spec.index() == drawn.device_of(device).spec.index()) names.push_back(d.name);
  }
  return names.empty() ? std::string{} : names[dice.below(names.size())];
}

// One deviation of the kind, or nothing where this robot has no place for it.
std::optional<Deviation> make(DeviationKind kind, Pick& pick, std::set<std::string>& used_ports, Dice& dice) {
  Deviation d;
  d.kind = kind;
  std::optional<std::string> point;
  switch (kind) {
    case DeviationKind::exchanged: {
      point = pick.any();
      if (!point) return std::nullopt;
      const auto other = pick.partner(*point);
      if (!other) return std::nullopt;
      d.points = {*point, *other};
      return d;
    }
    case DeviationKind::on_port: {
      point = pick.any();
      if (!point) return std::nullopt;
      const auto port = free_port(pick.drawn, *point, used_ports, dice);
      if (!port) return std::nullopt;
      used_ports.insert(*port);
      d.port = *port;
      break;
    }
    case DeviationKind::leads_reversed:
    case DeviationKind::jammed:
      point = pick.output(true);
      break;
    case DeviationKind::channels_swapped:
      point = pick.input(robot::PointKind::encoder);
      break;
    case DeviationKind::channel_dead:
      point = pick.input(robot::PointKind::encoder);
      d.channel = std::string(1, dice.one_in(2) ? 'A' : 'B');
      break;
    case DeviationKind::open_wire:
    case DeviationKind::intermittent_wire:
      point = pick.any();
      break;
    case DeviationKind::dead_device:
      point = dice.one_in(2) ? pick.output(true) : pick.input(std::nullopt);
      break;
    case DeviationKind::wrong_device: {
      point = dice.one_in(2) ? pick.output(true) : pick.input(robot::PointKind::encoder);
      if (!point) return std::nullopt;
      const auto* o = pick.drawn.output(*point);
      d.device = other_device(pick.drawn, o != nullptr ? o->device : pick.drawn.input(*point)->device, dice);
      if (d.device.empty()) return std::nullopt;
      break;
    }
    case DeviationKind::end_switches_exchanged:
      for (const auto& o : pick.drawn.outputs) {
        if (o.low_switch && o.high_switch && pick.touched.count(*o.low_switch) == 0 &&
            pick.touched.count(*o.high_switch) == 0) {
          pick.touched.insert({*o.low_switch, *o.high_switch});
          point = o.name;
          d.points = {*point};
          return d;
        }
      }
      return std::nullopt;
    case DeviationKind::blown_protection: {
      const auto part = branch_protection(pick.drawn, dice);
      if (!part) return std::nullopt;
      d.part = *part;
      return d;
    }
    case DeviationKind::weak_battery:
      d.state_of_charge = dice.between(0.1, 0.3);
      d.resistance_factor = dice.between(2.0, 5.0);
      return d;
    case DeviationKind::slipping:  // these are worn or broken parts for fault finding, not ways to wire
    case DeviationKind::stiff:
    case DeviationKind::weak_device:
    case DeviationKind::shorted_wire:
    case DeviationKind::dead_port:
    case DeviationKind::stuck:
    case DeviationKind::no_sensor_supply:
    case DeviationKind::old_firmware:
    case DeviationKind::stale_table:
    case DeviationKind::other_program:
      return std::nullopt;
  }
  if (!point) return std::nullopt;
  d.points = {*point};
  return d;
}

}  // namespace

Robot random_robot(const Robot& model, std::uint64_t seed) {
  Dice dice(seed);
  Robot r = model;
  const auto keep = [&dice](const auto& point) {
    (void)point;
    return !dice.one_in(7);
  };
  std::vector<robot::Output> outputs;
  for (const auto& o : r.outputs) {
    if (keep(o) || (outputs.empty() && &o == &r.outputs.back())) outputs.push_back(o);
  }
  dice.shuffle(outputs);
  r.outputs = outputs;
  std::vector<robot::Input> inputs;
  for (const auto& i : r.inputs) {
    const bool senses_one = !i.senses_output.empty();
    if (senses_one && r.output(i.senses_output) == nullptr) continue;
    if (i.senses == robot::SensesWhat::output_motion && dice.one_in(7)) continue;
    inputs.push_back(i);
  }
  dice.shuffle(inputs);
  r.inputs = inputs;
  deal_ports(r, r.outputs, PortKind::bridge, dice);
  for (const PortKind kind : {PortKind::encoder_input, PortKind::switch_input, PortKind::analogue_input}) {
    deal_ports(r, r.inputs, kind, dice);
  }
  for (auto& o : r.outputs) {
    if (!o.mechanism) continue;
    o.reversed = dice.one_in(2);
    vary(*o.mechanism, dice);
  }
  for (auto& i : r.inputs) {
    if (i.senses == robot::SensesWhat::output_motion) i.reversed = dice.one_in(2);
  }
  return r;
}

plant::Deviations random_deviations(const Robot& drawn, std::uint64_t seed, int most) {
  Dice dice(seed ^ 0x5bd1e995ULL);
  plant::Deviations all;
  all.seed = seed;
  constexpr DeviationKind kinds[] = {DeviationKind::exchanged,
                                     DeviationKind::on_port,
                                     DeviationKind::leads_reversed,
                                     DeviationKind::channels_swapped,
                                     DeviationKind::channel_dead,
                                     DeviationKind::open_wire,
                                     DeviationKind::intermittent_wire,
                                     DeviationKind::blown_protection,
                                     DeviationKind::weak_battery,
                                     DeviationKind::dead_device,
                                     DeviationKind::wrong_device,
                                     DeviationKind::jammed,
                                     DeviationKind::end_switches_exchanged};
  Pick pick{drawn, dice, {}};
  std::set<std::string> used_ports;
  const auto wanted = dice.below(static_cast<std::size_t>(most) + 1);
  for (std::size_t i = 0; i < wanted; ++i) {
    auto d = make(kinds[dice.below(std::size(kinds))], pick, used_ports, dice);
    if (!d) continue;
    // Ports may pile up on one point (moved and reversed), but a point is moved only once and broken only once.
    const bool moves = d->kind == DeviationKind::exchanged || d->kind == DeviationKind::on_port;
    const bool turns = d->kind == DeviationKind::leads_reversed || d->kind == DeviationKind::channels_swapped;
    if (!turns) pick.touched.insert(d->points.begin(), d->points.end());
    if (moves && dice.one_in(2)) {
      // Now and then a moved motor also has its leads reversed.
      const auto* o = drawn.output(d->points[0]);
      if (o != nullptr && is_motor(*o) && all.all.size() + 2 <= static_cast<std::size_t>(most)) {
        all.all.push_back(*d);
        Deviation reversed;
        reversed.kind = DeviationKind::leads_reversed;
        reversed.points = {o->name};
        all.all.push_back(reversed);
        continue;
      }
    }
    if (all.all.size() < static_cast<std::size_t>(most)) all.all.push_back(*d);
  }
  return all;
}

}  // namespace ringout::scenarios
