#include "judge.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "prove/expectation.h"

namespace ringout::scenarios {

namespace {

using plant::AsBuilt;
using plant::BuiltInput;
using plant::BuiltOutput;
using prove::Condition;
using prove::Finding;
using prove::Sign;

std::string words(const Finding& f) {
  return fmt::format("{} on {}, sign {}, strength {:.2f}, confidence {:.4f}: {}", name_of(f.condition),
                     f.found_port.value_or("no port"), name_of(f.sign), f.strength, f.confidence, f.evidence);
}

class Judge {
 public:
  Judge(const robot::Robot& drawn, const AsBuilt& truth, const Bench& bench, const std::vector<Finding>& findings,
        Allowances* allowances)
      : drawn_(drawn), truth_(truth), bench_(bench), findings_(findings), allowances_(allowances) {}

  std::vector<Mistake> all() {
    for (const BuiltOutput& o : truth_.outputs) output(o);
    for (const BuiltInput& i : truth_.inputs) input(i);
    return std::move(mistakes_);
  }

 private:
  const Finding* finding(const std::string& point) {
    for (const Finding& f : findings_) {
      if (f.point == point) return &f;
    }
    mistakes_.push_back({point, "a finding", "none"});
    return nullptr;
  }

  void expect(const Finding& f, bool right, const std::string& expected) {
    if (!right) mistakes_.push_back({f.point, expected, words(f)});
  }

  // True where the exception holds; counted where nothing else would have let the finding through.
  bool allow(bool strict, bool exception, const char* name) {
    if (strict || !exception) return strict;
    if (allowances_ != nullptr) ++(*allowances_)[name];
    return true;
  }

  [[nodiscard]] bool fed(const BuiltOutput& o) const {
    std::string feed = plant::feed_of(drawn_, *o.port, *o.drawn);
    for (std::size_t guard = 0; guard <= drawn_.protections.size(); ++guard) {
      for (std::size_t n = 0; n < drawn_.protections.size(); ++n) {
        if (drawn_.protections[n].name != feed) continue;
        if (std::count(truth_.open_protections.begin(), truth_.open_protections.end(), n) > 0) return false;
        feed = drawn_.protections[n].fed_from;
        break;
      }
    }
    return true;
  }

  [[nodiscard]] bool live(const BuiltOutput& o) const { return fed(o) && !o.open_wire && !o.dead; }
  [[nodiscard]] bool motor(const BuiltOutput& o) const { return o.drawn->mechanism.has_value(); }
  // An intermittent lead that happened to be open in every bump.
  [[nodiscard]] bool stood(const BuiltOutput& o) const { return bench_.travel(o.drawn->name) < 1e-4; }
  [[nodiscard]] bool moves(const BuiltOutput& o, const BuiltInput& sensor) const {
    return live(o) && !o.jammed && !o.shorted && (!o.slipping || sensor.drawn->on_motor_shaft);
  }

  // What really happened over what the drawing lets expect: travel, or for on/off devices current by the catalogue.
  [[nodiscard]] double ratio(const BuiltOutput& o) const {
    const prove::BumpPlan plan = prove::plan_bumps(drawn_);
    const prove::Drive drive{.level = plan.level_permille / 1000.0,
                             .slope_per_s = static_cast<double>(plan.slope_permille_per_ms),
                             .driven_s = plan.duration_ms / 1000.0,
                             .volts = bench_.truth().battery_volts};
    const auto up = prove::expected_answer(drawn_, *o.drawn, drive, prove::Way::positive);
    if (!motor(o)) {
      robot::Output real = *o.drawn;
      real.device = o.device->name;
      return prove::expected_answer(drawn_, real, drive, prove::Way::positive).amperes / up.amperes;
    }
    const auto down = prove::expected_answer(drawn_, *o.drawn, drive, prove::Way::negative);
    const auto& m = *o.drawn->mechanism;
    const double unit = m.travel_is_length && m.radius ? m.radius->si : 1.0;
    return bench_.travel(o.drawn->name) / (0.5 * (up.shaft_rad + down.shaft_rad) * unit);
  }

  static bool near_one(double ratio) { return ratio > 0.72 && ratio < 1.4; }
  static bool in_between(double ratio) { return !near_one(ratio) && ratio >= 0.36 && ratio <= 2.8; }

  static bool size_right(double ratio, Condition c) {
    if (near_one(ratio)) return c == Condition::answers;
    if (in_between(ratio)) return c == Condition::answers || c == (ratio < 1 ? Condition::weak : Condition::strong);
    return c == (ratio < 1 ? Condition::weak : Condition::strong);
  }

  // What the sensors of an output say about its size: its own device, and its sensors' scales.
  [[nodiscard]] double seen_ratio(const BuiltOutput& o) const {
    double r = ratio(o);
    for (const BuiltInput& i : truth_.inputs) {
      if (i.drawn->senses != robot::SensesWhat::output_motion || i.drawn->senses_output != o.drawn->name) continue;
      const auto* real = i.device->as<robot::EncoderDevice>();
      const auto* drawn = drawn_.device_of(i.drawn->device).as<robot::EncoderDevice>();
      if (real != nullptr && drawn != nullptr && answers(i)) {
        r *= static_cast<double>(real->lines_per_revolution) / drawn->lines_per_revolution;
      }
    }
    return r;
  }
  static bool answers(const BuiltInput& i) { return !i.dead && !i.open_wire && !i.dead_a && !i.dead_b; }
  [[nodiscard]] bool sensed_loosely(const BuiltOutput& o) const {
    return std::any_of(truth_.inputs.begin(), truth_.inputs.end(), [&o](const BuiltInput& i) {
      return i.intermittent && i.drawn->senses == robot::SensesWhat::output_motion &&
             i.drawn->senses_output == o.drawn->name;
    });
  }
  [[nodiscard]] bool size_seen(const BuiltOutput& o) const {
    for (const BuiltInput& i : truth_.inputs) {
      if (i.drawn->senses == robot::SensesWhat::output_motion && i.drawn->senses_output == o.drawn->name &&
          answers(i)) {
        return true;
      }
    }
    return false;
  }

  void output(const BuiltOutput& o) {
    const Finding* f = finding(o.drawn->name);
    if (f == nullptr) return;
    const std::string& port = o.port->name;
    if (!live(o)) {
      expect(*f, f->condition == Condition::no_current && !f->found_port && sure(*f), "no current");
      return;
    }
    const bool on_port = f->found_port && *f->found_port == port;
    if (o.jammed) {
      expect(*f, f->condition == Condition::jammed && on_port && sure(*f), "jammed on " + port);
      return;
    }
    if (o.shorted) {
      shorted(*f, on_port);
      return;
    }
    if (o.slipping) {
      expect(*f, f->condition == Condition::slips && on_port && sign_right(*f, o) && sure(*f), "slips on " + port);
      return;
    }
    if (o.intermittent && motor(o) && stood(o)) {
      expect(*f, f->condition == Condition::no_current && !f->found_port, "no current: open throughout");
      return;
    }
    if (o.intermittent) {
      const bool opened = motor(o) && size_seen(o) && bench_.open_share(o.drawn->name) >= 0.2;
      const bool condition =
          allow(f->condition == Condition::intermittent, !opened && f->condition == Condition::answers,
                "intermittent output called answers") ||
          allow(false, named_too(*f, Condition::intermittent), "unsure: intermittent output, named beside another");
      expect(*f, on_port && condition && sign_right(*f, o), fmt::format("intermittent on {}", port));
      return;
    }
    const double size = seen_ratio(o);
    if (wrong_motor(o)) {
      other_motor(o, *f, size);
      return;
    }
    const bool sized = size_seen(o) && !sensed_loosely(o);
    const bool held_back = f->condition == Condition::drags && o.friction_factor > 1.0;
    const bool condition = sized ? size_right(size, held_back ? Condition::weak : f->condition)
                                 : f->condition == Condition::answers || !near_one(size) || sensed_loosely(o);
    expect(*f,
           on_port && condition && sign_right(*f, o) && allow(sure(*f), in_between(size), "unsure: size in between"),
           fmt::format("{}answers on {}, leads {}, size {:.2f}", sure(*f) ? "" : "(surely) ", port,
                       o.leads_reversed ? "reversed" : "as drawn", size));
  }

  // A stalled drive takes about what its shorted leads would.
  void shorted(const Finding& f, bool on_port) {
    const bool either = (f.condition == Condition::shorted && named_too(f, Condition::jammed)) ||
                        (f.condition == Condition::jammed && named_too(f, Condition::shorted));
    const bool told = f.condition == Condition::shorted && sure(f);
    expect(f, on_port && allow(told, either, "unsure: shorted or jammed"), "shorted");
  }

  [[nodiscard]] bool wrong_motor(const BuiltOutput& o) const { return motor(o) && o.device->name != o.drawn->device; }

  // Named as another motor, or by a far other size, or at least named as one that would answer the same.
  void other_motor(const BuiltOutput& o, const Finding& f, double size) {
    const bool named = std::find(f.alike.begin(), f.alike.end(), o.device->name) != f.alike.end();
    const bool weak = f.condition == Condition::weak ||
                      allow(false, f.condition == Condition::drags, "another motor called one that drags");
    const bool by_size = size_seen(o) && !near_one(size) && (size < 1 ? weak : f.condition == Condition::strong);
    const bool found = f.condition == Condition::other_motor && named &&
                       allow(sure(f), in_between(size), "unsure: another motor, size in between");
    const bool told =
        found || by_size || allow(false, f.condition == Condition::answers && named, "another motor called one alike");
    expect(f, f.found_port == o.port->name && sign_right(f, o) && told,
           fmt::format("{} instead of {} on {}, size {:.2f}", o.device->name, o.drawn->device, o.port->name, size));
  }

  static bool sure(const Finding& f) { return f.confidence >= 0.9; }
  // Proved is nothing then, and the person reads of both.
  static bool named_too(const Finding& f, Condition c) {
    return !sure(f) && std::find(f.or_else.begin(), f.or_else.end(), c) != f.or_else.end();
  }

  bool sign_right(const Finding& f, const BuiltOutput& o) const {
    if (!motor(o)) return true;
    return f.sign == (o.leads_reversed ? Sign::reversed : Sign::as_drawn);
  }

  void input(const BuiltInput& i) {
    const Finding* f = finding(i.drawn->name);
    if (f == nullptr) return;
    if (i.drawn->senses == robot::SensesWhat::output_motion) {
      motion_sensor(i, *f);
      return;
    }
    if (i.dead || i.open_wire) {
      expect(*f, (f->condition == Condition::stuck || f->condition == Condition::silent) && !f->found_port, "stuck");
      return;
    }
    const bool condition =
        f->condition == Condition::answers || (i.intermittent && f->condition == Condition::intermittent);
    expect(*f, f->found_port == i.port->name && condition, "answers on " + i.port->name);
  }

  void motion_sensor(const BuiltInput& i, const Finding& f) {
    const BuiltOutput* o = nullptr;
    for (const BuiltOutput& b : truth_.outputs) {
      if (b.drawn->name == i.drawn->senses_output) o = &b;
    }
    if (o == nullptr || !moves(*o, i) || (o->intermittent && stood(*o))) {
      expect(f, f.condition == Condition::untested, "untested: its output does not move");
      return;
    }
    if (i.dead || i.open_wire || (i.dead_a && i.dead_b)) {
      expect(f, f.condition == Condition::silent && sure(f), "silent");
      return;
    }
    const bool on_port = f.found_port == i.port->name;
    if (i.dead_a || i.dead_b) {
      expect(f, on_port && f.condition == Condition::one_channel_dead && sure(f),
             "one channel dead on " + i.port->name);
      return;
    }
    const bool sign = f.sign == (i.channels_swapped ? Sign::reversed : Sign::as_drawn);
    if (i.intermittent || o->intermittent) {
      const bool condition = allow(f.condition == Condition::intermittent, f.condition == Condition::answers,
                                   "intermittent sensor called answers") ||
                             allow(false, f.condition == Condition::weak, "intermittent sensor called weak") ||
                             allow(false, f.condition == Condition::strong, "intermittent sensor called strong");
      expect(f, on_port && condition && sign, "intermittent on " + i.port->name);
      return;
    }
    expect(f,
           on_port && sign &&
               (o->slipping ? f.condition == Condition::answers : size_right(seen_ratio(*o), f.condition)) &&
               allow(sure(f), in_between(seen_ratio(*o)), "unsure: sensor, size in between"),
           fmt::format("answers on {}, {}, size {:.2f}", i.port->name, i.channels_swapped ? "swapped" : "as drawn",
                       seen_ratio(*o)));
  }

  const robot::Robot& drawn_;
  const AsBuilt& truth_;
  const Bench& bench_;
  const std::vector<Finding>& findings_;
  Allowances* allowances_;
  std::vector<Mistake> mistakes_;
};

}  // namespace

std::vector<Mistake> judge(const robot::Robot& drawn, const AsBuilt& truth, const Bench& bench,
                           const std::vector<Finding>& findings, Allowances* allowances) {
  return Judge(drawn, truth, bench, findings, allowances).all();
}

}  // namespace ringout::scenarios
