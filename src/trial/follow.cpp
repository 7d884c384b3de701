#include "trial/follow.h"

#include <fmt/format.h>

#include <algorithm>

#include "find/conflict.h"
#include "find/find.h"
#include "plant/chance.h"

namespace ringout::trial {

namespace {

using find::Index;
using find::Step;
using plant::bits_of;
using plant::unit_of;

constexpr int most_steps = 200;

bool bench_alone(const faults::CheckOrigin& check) {
  return check.witness == faults::Witness::bench;
}

// The belief and the bench after what was seen, with what is not to be asked again.
class Case {
 public:
  Case(World& world, const Contender& contender, const TrialSettings& settings)
      : world_(world), contender_(contender), strategy_(make_strategy(contender.strategy, settings.effort)) {}

  Followed lead() {
    look_first();
    for (int n = 0; n < most_steps; ++n) {
      if (take(next())) return std::move(out_);
    }
    return std::move(out_);
  }

 private:
  [[nodiscard]] const find::Model& model() const { return world_.model().model; }

  // As the conversation of a case: what the bench reads without moving anything comes before everything else.
  void look_first() {
    for (Index o = 0; !contender_.by_hand && o < model().observations.size(); ++o) {
      const faults::CheckOrigin& check = world_.model().checks[o];
      if (!bench_alone(check) || check.moves == faults::Moves::yes) continue;
      out_.minutes += model().observations[o].cost;
      observe(o, model().observations[o].cost, model().observations[o].name);
      const auto* said = events_.empty() ? nullptr : std::get_if<find::Answer>(&events_.back());
      const bool silent = said != nullptr && said->observation == o && said->outcome != 0;
      if (check.kind == faults::CheckKind::link && silent) return;
    }
  }

  Step next() {
    find::Posterior posterior(world_.likelihood());
    for (std::size_t i = 0; i < events_.size();) {
      if (posterior.take(events_[i]) == find::Taken::yes) {
        ++i;
        continue;
      }
      doubt();
      return next();
    }
    bench_.emplace(posterior, events_);
    for (const Index o : aside_) find::set_aside(bench_->situation, o);
    for (Index o = 0; contender_.by_hand && o < world_.model().checks.size(); ++o) {
      if (bench_alone(world_.model().checks[o])) find::set_aside(bench_->situation, o);
    }
    const Step step = strategy_->choose(bench_->space, bench_->situation);
    return step.kind == Step::Kind::stop ? Step{Step::Kind::call, 0} : step;
  }

  // The answers cannot all be true: the one that the others speak most against is dropped and not asked for again.
  void doubt() {
    const find::Conflict conflict = find::find_conflict(world_.likelihood(), events_);
    std::size_t which = !conflict.events.empty() ? conflict.events.back() : events_.size() - 1;
    for (std::size_t i = conflict.doubts.size(); i-- > 0;) {  // of answers alone: it knows what it repaired
      const std::size_t event = conflict.doubts[i].event;
      if (std::holds_alternative<find::Answer>(events_[event])) which = event;
    }
    if (const auto* a = std::get_if<find::Answer>(&events_[which])) aside_.push_back(a->observation);
    events_.erase(events_.begin() + static_cast<std::ptrdiff_t>(which));
  }

  void observe(Index o, double cost, const std::string& said) {
    const World::Given given = world_.answer(o);
    if (given.outcome) {
      events_.emplace_back(find::Answer{o, *given.outcome});
    } else {
      aside_.push_back(o);
    }
    const bool bench = bench_alone(world_.model().checks[o]);
    ++(bench ? out_.bench_checks : out_.hand_checks);
    if (bench) out_.bench_minutes += cost;
    out_.on_twin += given.on_twin ? 1 : 0;
    note(said + ": " + (given.outcome ? model().observations[o].outcomes[*given.outcome] : "cannot tell"));
  }

  void note(const std::string& said) { out_.steps.push_back(fmt::format("{:6.2f}  {}", out_.minutes, said)); }

  bool take(Step step) {
    const double cost = bench_->space.cost(bench_->situation, step);
    out_.minutes += cost;
    std::string said = bench_->space.text(step);
    bool over = false;
    if (step.kind == Step::Kind::call) {
      over = true;
    } else if (step.kind == Step::Kind::observe) {
      observe(step.index, cost, said);
      return false;
    } else {
      ++out_.repairs;
      bool mended = false;
      over = out_.found = world_.repair(step.index, mended);
      out_.needless += mended ? 0 : 1;
      if (!over) events_.emplace_back(find::FailedRepair{step.index});
      said += over ? ": it works" : ": still wrong";
    }
    note(said);
    return over;
  }

  World& world_;
  Contender contender_;
  std::unique_ptr<find::Strategy> strategy_;
  std::vector<find::Event> events_;
  std::vector<Index> aside_;
  std::optional<find::Bench> bench_;
  Followed out_;
};

}  // namespace

World::World(const Complained& about, const DrawnCase& drawn, const TrialSettings& settings,
             const MakeBench& make_bench)
    : about_(about), drawn_(drawn), settings_(settings), make_bench_(make_bench), present_(drawn.faults) {}

void World::start_again() {
  present_ = drawn_.faults;
  asked_.clear();
  tries_.clear();
  bench_.reset();
}

std::uint64_t World::state() const {
  std::uint64_t out = 0;
  for (std::size_t i = 0; i < drawn_.faults.size(); ++i) {
    for (const TrueFault& f : present_) out |= f.name == drawn_.faults[i].name ? 1ULL << i : 0;
  }
  return out;
}

Index World::from_row(Index observation, std::uint64_t time) const {
  const std::size_t outcomes = model().model.observations[observation].outcomes.size();
  std::vector<double> chance(outcomes);
  likelihood().of(observation, *about_.set_of(present_), chance);
  const auto draw = [&](std::uint64_t stream) {
    return unit_of(bits_of(drawn_.seed ^ stream, observation, time * 4 + state()));
  };
  double at = draw(0x53656573);
  Index out = 0;
  while (out + 1 < outcomes && at >= chance[out]) at -= chance[out++];
  if (model().checks[observation].witness == faults::Witness::bench || draw(0x4d697372) >= settings_.misread)
    return out;
  const auto shift = 1 + static_cast<Index>(draw(0x4f74686572) * static_cast<double>(outcomes - 1));
  return static_cast<Index>((out + std::min<std::size_t>(shift, outcomes - 1)) % outcomes);
}

bool World::sees_what_twin_lacks(Index observation) const {
  return std::any_of(present_.begin(), present_.end(), [&](const TrueFault& f) {
    const auto one = about_.set_of({f});
    return !on_twin(f) && one && likelihood().sees(observation, *one->begin());
  });
}

World::Given World::answer(Index observation) {
  const std::uint64_t time = asked_[observation]++;
  if (make_bench_ && !bench_)
    bench_ = make_bench_(as_drawn(present_, drawn_.seed).deviations, model(), drawn_.complaint);
  if (!bench_ || !bench_->makes(observation) || sees_what_twin_lacks(observation))
    return {from_row(observation, time), false};
  const find::Observed seen = bench_->observe(observation);
  switch (seen.how) {
    case find::Observed::How::seen:
      return {seen.outcome, true};
    case find::Observed::How::cannot_tell:
    case find::Observed::How::not_made:
      return {std::nullopt, true};
    case find::Observed::How::ask_the_person:
      break;
  }
  return {from_row(observation, time), false};
}

bool World::repair(Index repair, bool& mended) {
  const std::uint64_t before = state();
  const std::uint64_t attempt = tries_[repair]++;
  for (const find::Mend& m : model().model.repairs[repair].mends) {
    const std::string name = find::full_name(model().model, m.mode);
    const bool succeeds =
        unit_of(bits_of(drawn_.seed ^ 0x4d656e64, repair, attempt * find::max_modes + m.mode)) < m.chance;
    if (succeeds) std::erase_if(present_, [&](const TrueFault& f) { return f.name == name; });
  }
  mended = state() != before;
  if (mended) bench_.reset();
  return present_.empty();
}

Followed follow(World& world, const Contender& contender, const TrialSettings& settings) {
  world.start_again();
  return Case(world, contender, settings).lead();
}

}  // namespace ringout::trial
