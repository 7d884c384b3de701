#include "find/posterior.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>

namespace ringout::find {

namespace {

constexpr double nothing = -std::numeric_limits<double>::infinity();

double log_sum(const std::vector<State>& states) {
  double most = nothing;
  for (const State& s : states) most = std::max(most, s.weight);
  if (most == nothing) return nothing;
  double sum = 0;
  for (const State& s : states) sum += std::exp(s.weight - most);
  return most + std::log(sum);
}

double entropy(std::span<const double> chance) {
  double sum = 0;
  for (const double p : chance) sum -= p > 0 ? p * std::log(p) : 0;
  return sum;
}

bool impossible(const State& s) {
  return s.weight == nothing;
}

// What `repair` may leave of `faults`, with its chance, the mended-for-good case left out.
void leftovers(const Repair& repair, const FaultSet& faults, double weight, std::map<FaultSet, double>& out) {
  std::vector<std::pair<FaultSet, double>> left{{FaultSet{}, 1.0}};
  for (const Index mode : faults) {
    double mend = 0;
    for (const Mend& m : repair.mends) mend = m.mode == mode ? m.chance : mend;
    const std::size_t count = left.size();
    for (std::size_t i = 0; i < count; ++i) {
      FaultSet with = left[i].first;
      with.add(mode);
      left.emplace_back(with, left[i].second * (1 - mend));
      left[i].second *= mend;
    }
  }
  for (const auto& [rest, chance] : left) {
    if (!rest.empty() && chance > 0) out[rest] += weight * chance;
  }
}

}  // namespace

Posterior::~Posterior() = default;
Posterior::Posterior(Posterior&&) noexcept = default;
Posterior::Posterior(const Posterior& other)
    : likelihood_(other.likelihood_),
      faults_at_once_(other.faults_at_once_),
      starts_impossible_(other.starts_impossible_),
      states_(other.states_),
      pairs_(other.pairs_ ? std::make_unique<PairTable>(*other.pairs_) : nullptr),
      tail_(other.tail_) {}

Posterior::Posterior(const Likelihood& likelihood) : likelihood_(likelihood) {
  const Model& model = likelihood.model();
  if (model.faults == Faults::independent) faults_at_once_ = model.max_faults;
  if (count_states(model) <= static_cast<double>(max_states)) {
    states_ = enumerate_states(model);
    for (State& s : states_) s.weight = std::log(s.weight);
  } else {
    faults_at_once_ = 2;
    pairs_ = std::make_unique<PairTable>(likelihood);
  }
  if (model.faults == Faults::independent) tail_.emplace(likelihood, faults_at_once_);
  for (const Symptom& s : model.symptoms) {
    if (take(Answer{s.observation, s.outcome}) == Taken::impossible) starts_impossible_ = true;
  }
}

Taken Posterior::take(const Event& event) {
  if (const auto* a = std::get_if<Answer>(&event)) return answer(*a);
  return failed(std::get<FailedRepair>(event));
}

Taken Posterior::answer(const Answer& a) {
  if (pairs_) {
    if (!pairs_->observe(a.observation, a.outcome)) return Taken::impossible;
  } else {
    std::vector<State> next = states_;
    for (State& s : next) s.weight += std::log(likelihood_.of(a.observation, a.outcome, s.faults));
    std::erase_if(next, impossible);
    if (next.empty()) return Taken::impossible;
    states_ = std::move(next);
  }
  if (tail_) tail_->answer(a.observation, a.outcome);
  return Taken::yes;
}

Taken Posterior::failed(const FailedRepair& r) {
  if (pairs_) {
    if (!pairs_->still_wrong_after(r.repair)) return Taken::impossible;
    tail_->failed_repair(r.repair);
    return Taken::yes;
  }
  const double scale = log_sum(states_);
  std::map<FaultSet, double> next;
  for (const State& s : states_)
    leftovers(likelihood_.model().repairs[r.repair], s.faults, std::exp(s.weight - scale), next);
  std::vector<State> left;
  for (const auto& [faults, weight] : next) {
    if (weight > 0) left.push_back({faults, std::log(weight) + scale});
  }
  if (left.empty()) return Taken::impossible;
  states_ = std::move(left);
  if (tail_) tail_->failed_repair(r.repair);
  return Taken::yes;
}

double Posterior::left_out() const {
  if (!tail_) return 0.0;
  return 1 / (1 + std::exp(log_evidence() - tail_->log_weight()));
}

double Posterior::log_evidence() const {
  return pairs_ ? pairs_->log_weight() : log_sum(states_);
}

std::vector<double> Posterior::marginals() const {
  std::vector<double> out(likelihood_.model().modes.size(), 0.0);
  if (pairs_) {
    out = pairs_->marginals();
  } else {
    const double scale = log_sum(states_);
    for (const State& s : states_) {
      for (const Index m : s.faults) out[m] += std::exp(s.weight - scale);
    }
  }
  for (double& chance : out) chance = std::min(chance, 1.0);  // above it by rounding alone
  return out;
}

std::vector<double> Posterior::predict(Index observation) const {
  if (pairs_) return pairs_->predict(observation);
  std::vector<double> out(likelihood_.model().observations[observation].outcomes.size(), 0.0);
  std::array<double, max_outcomes> chance{};
  const double scale = log_sum(states_);
  for (const State& s : states_) {
    likelihood_.of(observation, s.faults, chance);
    for (std::size_t k = 0; k < out.size(); ++k) out[k] += std::exp(s.weight - scale) * chance[k];
  }
  return out;
}

double Posterior::information(Index observation) const {
  if (pairs_) return pairs_->information(observation);
  const std::size_t outcomes = likelihood_.model().observations[observation].outcomes.size();
  std::array<double, max_outcomes> chance{};
  const double scale = log_sum(states_);
  double known = 0;
  for (const State& s : states_) {
    likelihood_.of(observation, s.faults, chance);
    known += std::exp(s.weight - scale) * entropy(std::span(chance).first(outcomes));
  }
  return std::max(0.0, entropy(predict(observation)) - known);
}

std::vector<State> Posterior::likeliest(std::size_t n) const {
  if (pairs_) return pairs_->likeliest(n);
  std::vector<State> out = states_;
  const double scale = log_sum(states_);
  for (State& s : out) s.weight = std::exp(s.weight - scale);
  std::sort(out.begin(), out.end(), [](const State& a, const State& b) {
    return a.weight != b.weight ? a.weight > b.weight : a.faults < b.faults;
  });
  out.resize(std::min(n, out.size()));
  return out;
}

}  // namespace ringout::find
