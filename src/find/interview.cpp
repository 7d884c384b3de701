#include "find/interview.h"

#include <algorithm>

#include "find/suspects.h"

namespace ringout::find {

namespace {

constexpr double as_good_as_known = 0.9;

double mend_chance(const Repair& repair, Index mode) {
  for (const Mend& m : repair.mends) {
    if (m.mode == mode) return m.chance;
  }
  return 0.0;
}

// What states of k + 1 faults weigh where those of k - 1 and k are known, with rare faults that come by themselves:
// w(k + 1) / w(k) = w(k) / w(k - 1) · k / (k + 1). `mean` is the mean number of faults in states of one or two.
double guess_of_more(double mean, int faults_weighed) {
  const double two = std::clamp(mean - 1.0, 0.0, 0.9);
  const double ratio = two / (1.0 - two);
  double term = 1.0;
  double held = 0.0;
  double all = 0.0;
  for (int k = 1; k <= 12; ++k) {
    all += term;
    if (k <= faults_weighed) held += term;
    term *= ratio * 2.0 / (k + 1);
  }
  return faults_weighed > 1 ? 1.0 - held / all : 0.0;
}

// The repair is not offered again, and what stood before it is open: no trial has closed it.
void note_right(const Space& space, Situation& s, Index repair) {
  s.repaired.set(repair);
  space.open_up(s, space.model().repairs[repair].place);
}

}  // namespace

struct Interview::Bearings {
  Posterior posterior;
  Learned learned;
  bool contradictory = false;
  std::unique_ptr<Bench> bench;
  bool call_put_aside = false;
};

Interview::Interview(const Model& model, StrategyKind kind, const Effort& effort)
    : model_(model), likelihood_(model), prior_(likelihood_), effort_(effort), strategy_(make_strategy(kind, effort)) {}

void Interview::add(Entry entry) {
  entries_.push_back(std::move(entry));
}

Interview::Bearings Interview::bearings() const {
  Bearings out{prior_, events_of(model_, entries_), false, nullptr};
  std::vector<Event> taken;
  for (std::size_t i = 0; i < out.learned.events.size(); ++i) {
    const Event& event = out.learned.events[i];
    const bool possible = out.posterior.take(event) == Taken::yes;
    if (!possible) out.contradictory = true;
    // A look mends nothing: put_aside() says what it leaves of the bench.
    if (possible && !std::holds_alternative<WasRight>(entries_[out.learned.entry[i]])) taken.push_back(event);
  }
  out.bench = std::make_unique<Bench>(out.posterior, taken);
  put_aside(out);
  return out;
}

void Interview::put_aside(Bearings& at) const {
  for (const Index observation : left_out_) set_aside(at.bench->situation, observation);
  const std::vector<bool> counts = counting(entries_);
  for (std::size_t i = 0; i < entries_.size(); ++i) {
    if (!counts[i]) continue;
    if (const auto* e = std::get_if<WasRight>(&entries_[i]))
      note_right(at.bench->space, at.bench->situation, e->repair);
    if (const auto* e = std::get_if<CouldNotTell>(&entries_[i])) set_aside(at.bench->situation, e->observation);
    const auto* e = std::get_if<PutAside>(&entries_[i]);
    if (e == nullptr) continue;
    if (e->step.kind == Step::Kind::observe) set_aside(at.bench->situation, e->step.index);
    if (e->step.kind == Step::Kind::repair) at.bench->situation.repaired.set(e->step.index);
    if (e->step.kind == Step::Kind::call) at.call_put_aside = true;
  }
}

// What the entries alone say; nothing: it is open, as far as they go.
std::optional<Status> Interview::settled() const {
  const std::vector<bool> counts = counting(entries_);
  bool pending = false;
  bool over = false;
  for (std::size_t i = 0; i < entries_.size(); ++i) {
    if (!counts[i]) continue;
    if (std::holds_alternative<Closed>(entries_[i])) return Status::closed;
    if (std::holds_alternative<Done>(entries_[i])) pending = true;
    if (std::holds_alternative<Called>(entries_[i])) over = true;
    const auto* proof = std::get_if<Proof>(&entries_[i]);
    if (proof == nullptr || !pending) continue;
    pending = false;
    over = over || proof->result == Proof::Result::held;
  }
  if (pending) return Status::to_prove;
  return over ? std::optional(Status::to_close) : std::nullopt;
}

Status Interview::status() const {
  const auto settled_so = settled();
  return settled_so ? *settled_so : status(bearings());
}

Status Interview::status(const Bearings& at) const {
  if (at.contradictory) return Status::contradiction;
  const bool known = model_.goal == Goal::identify && at.bench->space.over(at.bench->situation);
  return known ? Status::to_close : Status::open;
}

double Interview::spent(const Bearings& at) const {
  const std::vector<bool> counts = counting(entries_);
  const Space& space = at.bench->space;
  Situation s = space.start();
  double sum = 0;
  for (std::size_t i = 0; i < entries_.size(); ++i) {
    if (!counts[i]) continue;
    if (const auto* saw = std::get_if<Saw>(&entries_[i])) {
      sum += space.cost(s, {Step::Kind::observe, saw->observation});
      space.note_observed(s, saw->observation, saw->outcome);
    }
    if (const auto* tried = std::get_if<CouldNotTell>(&entries_[i]))
      sum += space.cost(s, {Step::Kind::observe, tried->observation});
    if (std::holds_alternative<Called>(entries_[i])) sum += space.cost(s, {Step::Kind::call, 0});
    if (const auto* right = std::get_if<WasRight>(&entries_[i])) {
      sum += space.cost(s, {Step::Kind::repair, right->repair}) - model_.check_cost;
      note_right(space, s, right->repair);
    }
    const auto* done = std::get_if<Done>(&entries_[i]);
    if (done == nullptr || !done->repair) continue;
    sum += space.cost(s, {Step::Kind::repair, *done->repair});
    space.note_repaired(s, *done->repair);
  }
  return sum;
}

// The strategy's choice, unless the call was put aside; then the best of the others.
void Interview::recommend_next(View& view, Bearings& at) const {
  const Bench& bench = *at.bench;
  std::vector<Step> options = bench.space.options(bench.situation);
  const auto is_call = [](Step step) { return step.kind == Step::Kind::call; };
  if (at.call_put_aside) std::erase_if(options, is_call);
  if (options.empty()) return;
  Recommendation next = recommend(bench.space, bench.situation, *strategy_, effort_);
  if (at.call_put_aside) {
    std::erase_if(next.alternatives, [&](const Alternative& a) { return is_call(a.step); });
    if (next.alternatives.empty()) {
      const double cost = bench.space.cost(bench.situation, options.front());
      next.alternatives.push_back({.step = options.front(), .cost = cost, .expected = cost, .prospects = {}});
    }
    next.step = next.alternatives.front().step;
  }
  if (next.step.kind == Step::Kind::stop) return;
  for (const Branch& b : bench.space.branches(bench.situation, next.step))
    view.readings.push_back(reading_of(bench.space, b, view.suspects));
  view.next = std::move(next);
}

// Each fault that is as good as surely there; once it works, what it most likely was.
void Interview::note_diagnosis(View& view, const Bearings& at) const {
  Diagnosis out{{}, 1.0, {}, {}};
  if (!view.found.empty() && view.found.front().weight >= as_good_as_known) {
    out.faults = view.found.front().faults;
    out.chance = view.found.front().weight;
    out.mended = helping_repair(entries_).has_value();
    out.closed = view.status == Status::closed;
  }
  for (const Suspect& s : view.suspects) {
    if (!view.found.empty() || s.chance < as_good_as_known) continue;
    if (out.faults.size() == FaultSet::capacity) break;
    out.faults.add(s.mode);
    out.chance = std::min(out.chance, s.chance);
  }
  if (out.faults.empty()) return;
  for (const Index mode : out.faults) out.evidence.push_back(weigh(likelihood_, at.learned.events, mode));
  std::vector<std::pair<double, Index>> repairs;
  for (Index r = 0; r < model_.repairs.size(); ++r) {
    double best = 0;
    for (const Index mode : out.faults) best = std::max(best, mend_chance(model_.repairs[r], mode));
    if (best > 0) repairs.emplace_back(model_.repairs[r].cost / best, r);
  }
  std::stable_sort(repairs.begin(), repairs.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  for (const auto& [rate, repair] : repairs) out.repairs.push_back(repair);
  view.diagnosis = std::move(out);
}

// What it was, now that it works: what the last repair may have mended.
void Interview::note_found(View& view, const Bearings& at) const {
  const std::optional<Index> repair = helping_repair(entries_);
  view.found = at.posterior.likeliest(states_considered);
  view.found_follows = model_.goal == Goal::identify;
  if (!repair) return;
  const auto weigh_all = [&](const auto& weight_of) {
    double sum = 0;
    for (State& s : view.found) sum += s.weight = weight_of(s);
    for (State& s : view.found) s.weight /= sum > 0 ? sum : 1.0;
    std::stable_sort(view.found.begin(), view.found.end(),
                     [](const State& a, const State& b) { return a.weight > b.weight; });
    return sum > 0;
  };
  view.found_follows = weigh_all([&](const State& s) {
    double weight = s.weight;
    for (const Index mode : s.faults) weight *= mend_chance(model_.repairs[*repair], mode);
    return weight;
  });
  if (view.found_follows) return;
  // Nothing that was held possible is mended by it: the repair itself is all that is known.
  view.found.clear();
  for (const Mend& m : model_.repairs[*repair].mends) view.found.push_back({{m.mode}, 0.0});
  weigh_all([&](const State& s) { return model_.modes[*s.faults.begin()].prior; });
}

// What the case was closed with. Where the answers had left it open a person said so.
void Interview::note_closed(View& view) const {
  const std::optional<Closed> end = closed();
  const bool by_answers = end && view.found_follows && !view.found.empty() && view.found.front().faults == end->found &&
                          view.found.front().weight >= sure_enough;
  const double chance = by_answers ? view.found.front().weight : 1.0;
  view.found.clear();
  if (end) view.found.push_back({end->found, chance});
}

View Interview::view() const {
  effort_.begin();
  View out;
  Bearings at = bearings();
  out.status = settled().value_or(status(at));
  out.left_out = at.posterior.left_out();
  out.faults_weighed = at.posterior.faults_at_once();
  const std::vector<double> marginals = at.posterior.marginals();
  out.suspects = suspects_of(marginals, shown_from, model_.modes.size());
  double mean = 0;
  for (const double m : marginals) mean += m;
  out.more_guess = std::min(out.left_out, guess_of_more(mean, out.faults_weighed));
  out.spent = spent(at);
  out.call_cost = model_.call_cost;
  const std::vector<bool> counts = counting(entries_);
  for (std::size_t i = 0; i < entries_.size(); ++i) {
    if (!counts[i]) continue;
    if (std::holds_alternative<Saw>(entries_[i]) || std::holds_alternative<Done>(entries_[i]) ||
        std::holds_alternative<WasRight>(entries_[i]))
      ++out.made;
    if (std::holds_alternative<CouldNotTell>(entries_[i]) || std::holds_alternative<PutAside>(entries_[i]))
      ++out.put_aside;
  }
  if (out.status == Status::contradiction) out.conflict = find_conflict(likelihood_, entries_);
  if (out.status == Status::open) {
    out.conflict = find_slips(at.posterior, at.learned.events);
    for (std::size_t& event : out.conflict.events) event = at.learned.entry[event];
    for (Doubt& doubt : out.conflict.doubts) doubt.event = at.learned.entry[doubt.event];
  }
  if (out.status == Status::to_close || out.status == Status::closed) {
    note_found(out, at);
    if (out.status == Status::closed) note_closed(out);
    out.suspects = suspects_of(marginals_of(out.found, model_.modes.size()), shown_from, model_.modes.size());
  }
  if (out.status == Status::open) recommend_next(out, at);
  if (out.status != Status::contradiction) note_diagnosis(out, at);
  return out;
}

std::optional<Closed> Interview::closed() const {
  const std::vector<bool> counts = counting(entries_);
  for (std::size_t i = 0; i < entries_.size(); ++i) {
    const auto* closed = counts[i] ? std::get_if<Closed>(&entries_[i]) : nullptr;
    if (closed != nullptr && !closed->found.empty()) return *closed;
  }
  return std::nullopt;
}

std::vector<Answer> Interview::answers() const {
  const Learned learned = events_of(model_, entries_);
  const auto changed = [&](const Answer& answer, std::size_t since) {
    for (std::size_t i = since; i < learned.events.size(); ++i) {
      const auto* done = std::get_if<Done>(&entries_[learned.entry[i]]);
      if (done != nullptr && may_change(model_, *done->repair, answer.observation)) return true;
    }
    return false;
  };
  std::vector<Answer> out;
  for (std::size_t i = 0; i < learned.events.size(); ++i) {
    const auto* answer = std::get_if<Answer>(&learned.events[i]);
    if (answer != nullptr && !changed(*answer, i)) out.push_back(*answer);
  }
  return out;
}

}  // namespace ringout::find
