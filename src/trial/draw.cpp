#include "trial/draw.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "plant/chance.h"

namespace ringout::trial {

namespace {

using plant::bits_of;
using plant::unit_of;

constexpr int most_draws = 200;

std::optional<Miscommand> miscommand(const TrueFault& f) {
  using faults::Mode;
  if (f.origin.kind != faults::PartKind::command) return std::nullopt;
  const auto of = [&](Miscommand::How how) { return Miscommand{f.origin.point, how}; };
  switch (f.origin.mode) {
    case Mode::sends_nothing:
      return of(Miscommand::How::nothing);
    case Mode::sends_little:
      return of(Miscommand::How::little);
    case Mode::sends_wrong_sign:
      return of(Miscommand::How::wrong_sign);
    case Mode::sends_unasked:
      return of(Miscommand::How::unasked);
    default:
      return of(Miscommand::How::reads_wrongly);
  }
}

std::optional<plant::DeviationKind> kind_named(const std::string& name) {
  for (int n = 0; n <= static_cast<int>(plant::DeviationKind::other_program); ++n) {
    if (name == plant::name_of(static_cast<plant::DeviationKind>(n))) return static_cast<plant::DeviationKind>(n);
  }
  return std::nullopt;
}

plant::Deviation deviation_of(const TrueFault& f, plant::DeviationKind kind) {
  const faults::Injection& i = f.origin.injection;
  plant::Deviation d{
      .kind = kind, .points = i.points, .part = i.part, .port = i.port, .device = i.device, .channel = i.channel};
  if (kind == plant::DeviationKind::weak_battery) {
    d.state_of_charge = i.amount;
    if (!i.amount) d.resistance_factor = 8.0;
  }
  return d;
}

// These need files beside the robot's; their checks read the controller's words and no physics.
bool of_controller(plant::DeviationKind kind) {
  return kind == plant::DeviationKind::old_firmware || kind == plant::DeviationKind::stale_table ||
         kind == plant::DeviationKind::other_program;
}

}  // namespace

bool on_twin(const TrueFault& fault) {
  const auto kind = kind_named(fault.origin.injection.kind);
  return kind && !of_controller(*kind);
}

AsDrawn as_drawn(const std::vector<TrueFault>& faults, std::uint64_t seed) {
  AsDrawn out;
  out.deviations.seed = seed;
  for (const TrueFault& f : faults) {
    if (const auto m = miscommand(f)) {
      out.program.push_back(*m);
    } else if (on_twin(f)) {
      out.deviations.all.push_back(deviation_of(f, *kind_named(f.origin.injection.kind)));
    } else {
      out.whole = false;
    }
  }
  return out;
}

Drawing::Drawing(const robot::Robot& robot, const Pool& pool, const TrialSettings& settings)
    : robot_(robot), pool_(pool), settings_(settings) {
  double sum = 0;
  for (std::size_t i = 0; i < pool.faults.size(); ++i) {
    const double u = 2.0 * unit_of(bits_of(settings.seed, 0x5072696f72, i)) - 1.0;
    true_chance_.push_back(sum += pool.faults[i].prior * std::pow(settings.wrong_by, u));
  }
}

std::vector<TrueFault> Drawing::draw_faults(std::uint64_t seed) const {
  std::vector<TrueFault> out;
  std::set<std::string> parts;  // a part fails in one way, and there may be only one that can
  for (std::uint64_t n = 0; static_cast<int>(out.size()) < settings_.faults && n < most_draws; ++n) {
    if (true_chance_.empty()) break;
    const double at = unit_of(bits_of(seed, 0x4661756c74, n)) * true_chance_.back();
    const auto which = std::lower_bound(true_chance_.begin(), true_chance_.end(), at) - true_chance_.begin();
    const TrueFault& f = pool_.faults[static_cast<std::size_t>(which)];
    if (parts.insert(f.origin.part).second) out.push_back(f);
  }
  return out;
}

std::vector<faults::Trouble> Drawing::troubles_of(const std::vector<TrueFault>& faults, std::uint64_t seed,
                                                  bool& on_twin) const {
  const AsDrawn real = as_drawn(faults, seed);
  on_twin = real.whole;
  if (real.whole) return noticed(robot_, real.deviations, real.program, seed);
  // What the twin cannot have is complained of as the model's row says.
  std::vector<faults::Trouble> out;
  for (std::size_t i = 0; i < pool_.complaints.size(); ++i) {
    const Complained& c = *pool_.complaints[i];
    const auto set = c.set_of(faults);
    if (!set || c.model.model.symptoms.empty()) continue;
    const find::Symptom& s = c.model.model.symptoms.front();
    if (unit_of(bits_of(seed, 0x4e6f74696365, i)) < c.likelihood->of(s.observation, s.outcome, *set))
      out.push_back(c.trouble);
  }
  return out;
}

DrawnCase Drawing::draw(std::size_t n, std::size_t& unnoticed) const {
  DrawnCase out;
  for (std::uint64_t again = 0; again < most_draws; ++again) {
    out.seed = bits_of(settings_.seed, 0x43617365, n * most_draws + again);
    out.faults = draw_faults(out.seed);
    const std::vector<faults::Trouble> troubles = troubles_of(out.faults, out.seed, out.seen_on_twin);
    std::vector<faults::Trouble> about;  // whose model has all that is wrong: two faults behind one trouble
    for (const faults::Trouble& t : troubles) {
      if (pool_.complained(t).set_of(out.faults)) about.push_back(t);
    }
    if (about.empty()) {
      ++unnoticed;
      continue;
    }
    const double pick = unit_of(bits_of(out.seed, 0x4f6e65, 0));
    out.complaint = {
        {about[std::min(about.size() - 1, static_cast<std::size_t>(pick * static_cast<double>(about.size())))]}};
    return out;
  }
  return out;
}

}  // namespace ringout::trial
