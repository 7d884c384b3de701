#include "find/tail_bound.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace ringout::find {

namespace {

double up_to(const std::vector<double>& chance, Index outcome) {
  return std::accumulate(chance.begin(), chance.begin() + outcome, 0.0);
}

void add(std::vector<double>& into, const std::vector<double>& from, double times) {
  for (std::size_t i = 0; i < into.size(); ++i) into[i] += times * from[i];
}

}  // namespace

TailBound::TailBound(const Likelihood& likelihood, int faults_at_once)
    : likelihood_(likelihood),
      faults_at_once_(faults_at_once),
      lives_(likelihood.model().modes.size(), std::vector<Life>(1)),
      by_part_(likelihood.model().parts.size()) {
  const std::vector<Mode>& modes = likelihood.model().modes;
  for (Index m = 0; m < modes.size(); ++m) by_part_[modes[m].part].push_back(m);
}

void TailBound::answer(Index observation, Index outcome) {
  const Observation& o = likelihood_.model().observations[observation];
  if (!o.joint.empty()) return;
  if (outcome > 0 && followed_.size() < followed) {
    follow(o, outcome);
  } else {
    factor(o, outcome);
  }
}

void TailBound::follow(const Observation& o, Index outcome) {
  const bool first = o.combination == Combination::first;
  const bool noisy = o.combination == Combination::noisy;
  const double healthy = o.healthy[outcome];
  const std::size_t answer = followed_.size();
  followed_.push_back(noisy ? Followed{healthy, up_to(o.healthy, outcome), 0.0} : Followed{0.0, 1.0, healthy});
  for (const Effect& e : o.effects) {
    const double below = first ? 1.0 : up_to(e.chance, outcome);
    const double at = e.chance[outcome];
    lives_[e.mode].front().seen.push_back({answer, below, at, first ? 1.0 : below + at});
  }
}

void TailBound::factor(const Observation& o, Index outcome) {
  if (o.combination == Combination::first) return;
  if (o.combination == Combination::noisy) log_scale_ += std::log(up_to(o.healthy, outcome) + o.healthy[outcome]);
  for (const Effect& e : o.effects) lives_[e.mode].front().factor *= up_to(e.chance, outcome) + e.chance[outcome];
}

void TailBound::failed_repair(Index repair) {
  for (const Mend& m : likelihood_.model().repairs[repair].mends) {
    std::vector<Life>& lives = lives_[m.mode];
    Life mended = lives.front();
    mended.factor *= m.chance;
    lives.front().factor *= 1 - m.chance;
    lives.push_back(std::move(mended));
  }
}

TailBound::Walk TailBound::begin() const {
  Walk out(std::size_t{1} << followed_.size(), 1.0);
  for (std::size_t bits = 0; bits < out.size(); ++bits) {
    for (std::size_t a = 0; a < followed_.size(); ++a)
      out[bits] *= ((bits >> a) & 1U) != 0 ? followed_[a].begins_set : followed_[a].begins_unset;
  }
  return out;
}

void TailBound::pass(const Walk& from, Index mode, Walk& into) const {
  const double prior = likelihood_.model().modes[mode].prior;
  for (const Life& life : lives_[mode]) {
    if (life.factor == 0.0) continue;
    Walk now = from;
    for (const Seen& seen : life.seen) {
      const std::size_t bit = std::size_t{1} << seen.answer;
      for (std::size_t bits = 0; bits < now.size(); ++bits) {
        if ((bits & bit) != 0) continue;
        now[bits | bit] = now[bits | bit] * seen.after + now[bits] * seen.at;
        now[bits] *= seen.below;
      }
    }
    add(into, now, prior * life.factor);
  }
}

double TailBound::log_weight() const {
  const std::size_t more = static_cast<std::size_t>(faults_at_once_) + 1;
  const Walk none(std::size_t{1} << followed_.size(), 0.0);
  std::vector<Walk> at(more + 1, none);  // by number of faults, the last of that many or more
  at[0] = begin();
  for (const std::vector<Index>& modes : by_part_) {
    double whole = 1.0;
    for (const Index m : modes) whole -= likelihood_.model().modes[m].prior;
    std::vector<Walk> next(more + 1, none);
    for (std::size_t n = 0; n <= more; ++n) {
      add(next[n], at[n], whole);
      for (const Index m : modes) pass(at[n], m, next[std::min(n + 1, more)]);
    }
    at = std::move(next);
  }
  double sum = 0.0;
  for (std::size_t bits = 0; bits < none.size(); ++bits) {
    double end = at[more][bits];
    for (std::size_t a = 0; a < followed_.size(); ++a) end *= ((bits >> a) & 1U) != 0 ? 1.0 : followed_[a].ends_unset;
    sum += end;
  }
  return log_scale_ + std::log(sum);
}

}  // namespace ringout::find
