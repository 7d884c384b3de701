#include "find/pair_table.h"

#include <array>
#include <cmath>
#include <numeric>

namespace ringout::find {

namespace {

double entropy(std::span<const double> chance) {
  double sum = 0;
  for (const double p : chance) sum -= p > 0 ? p * std::log(p) : 0;
  return sum;
}

}  // namespace

PairTable::PairTable(const Likelihood& likelihood)
    : likelihood_(likelihood), n_(likelihood.model().modes.size()), pairs_(n_ * n_, 0.0), touched_(n_, false) {
  const Model& model = likelihood.model();
  RINGOUT_CHECK(model.faults == Faults::independent);
  std::vector<double> q(model.parts.size(), 0.0);
  for (const Mode& m : model.modes) q[m.part] += m.prior;
  for (const double c : q) log_reference_ += std::log1p(-c);
  for (const Mode& m : model.modes) single_.push_back(m.prior / (1 - q[m.part]));
  for (Index i = 0; i < n_; ++i) {
    for (Index j = 0; j < n_; ++j)
      pair(i, j) = model.modes[i].part == model.modes[j].part ? 0.0 : single_[i] * single_[j];
  }
  none_ = model.goal == Goal::repair ? 0.0 : 1.0;
  sum_rows();
  for (const Observation& o : model.observations) {
    visible_.emplace_back();
    for (const Effect& e : o.effects) visible_.back().push_back(e.mode);
  }
}

void PairTable::sum_rows() {
  row_.assign(n_, 0.0);
  for (std::size_t i = 0; i < n_; ++i) row_[i] = std::accumulate(&pairs_[i * n_], &pairs_[i * n_] + n_, 0.0);
}

void PairTable::touch(const std::vector<Index>& modes) {
  for (const Index m : modes) touched_[m] = true;
}

double PairTable::log_weight() const {
  double sum = none_;
  for (std::size_t i = 0; i < n_; ++i) sum += single_[i] + row_[i] / 2;
  return log_reference_ + std::log(sum);
}

PairTable::Split PairTable::split(const std::vector<Index>& visible) const {
  Split out;
  double total = none_;
  for (std::size_t i = 0; i < n_; ++i) total += single_[i] + row_[i] / 2;
  double seen = 0;
  for (const Index i : visible) {
    double within = 0;
    for (const Index j : visible) within += pair(i, j);
    out.one.push_back(single_[i] + std::max(0.0, row_[i] - within));
    seen += out.one.back() + within / 2;
  }
  out.none = std::max(0.0, total - seen);
  return out;
}

std::vector<double> PairTable::predict(Index observation) const {
  const std::vector<Index>& visible = visible_[observation];
  const std::size_t outcomes = likelihood_.model().observations[observation].outcomes.size();
  const Split mass = split(visible);
  std::vector<double> out(outcomes, 0.0);
  std::array<double, max_outcomes> chance{};
  const auto add = [&](const FaultSet& faults, double weight) {
    if (weight <= 0) return;
    likelihood_.of(observation, faults, chance);
    for (std::size_t k = 0; k < outcomes; ++k) out[k] += weight * chance[k];
  };
  add({}, mass.none);
  for (std::size_t a = 0; a < visible.size(); ++a) {
    add({visible[a]}, mass.one[a]);
    for (std::size_t b = 0; b < a; ++b) add({visible[a], visible[b]}, pair(visible[a], visible[b]));
  }
  const double total = std::accumulate(out.begin(), out.end(), 0.0);
  for (double& p : out) p = total > 0 ? p / total : 0.0;
  return out;
}

double PairTable::information(Index observation) const {
  const std::vector<Index>& visible = visible_[observation];
  const std::size_t outcomes = likelihood_.model().observations[observation].outcomes.size();
  const Split mass = split(visible);
  std::array<double, max_outcomes> chance{};
  std::array<double, max_outcomes> sum{};
  double known = 0;
  double total = 0;
  const auto add = [&](const FaultSet& faults, double weight) {
    if (weight <= 0) return;
    likelihood_.of(observation, faults, chance);
    for (std::size_t k = 0; k < outcomes; ++k) sum[k] += weight * chance[k];
    known += weight * entropy(std::span(chance).first(outcomes));
    total += weight;
  };
  add({}, mass.none);
  for (std::size_t a = 0; a < visible.size(); ++a) {
    add({visible[a]}, mass.one[a]);
    for (std::size_t b = 0; b < a; ++b) add({visible[a], visible[b]}, pair(visible[a], visible[b]));
  }
  if (total <= 0) return 0;
  for (double& p : sum) p /= total;
  return std::max(0.0, entropy(std::span(sum).first(outcomes)) - known / total);
}

// Multiplies every state without a visible mode by `factor`.
void PairTable::scale_untouched(const std::vector<Index>& visible, double factor) {
  std::vector<bool> seen(n_, false);
  for (const Index i : visible) seen[i] = true;
  none_ *= factor;
  for (Index i = 0; i < n_; ++i) {
    if (seen[i]) continue;
    single_[i] *= factor;
    for (Index j = 0; j < n_; ++j) {
      if (!seen[j]) pair(i, j) *= factor;
    }
  }
}

bool PairTable::observe(Index observation, Index outcome) {
  if (!(predict(observation)[outcome] > 0)) return false;
  const std::vector<Index>& visible = visible_[observation];
  touch(visible);
  const double nothing = likelihood_.of(observation, outcome, {});
  // Where the answer is well possible without a visible fault, everything is taken relative to that.
  const double unit = nothing > 1e-6 ? nothing : 1.0;
  if (unit != nothing) scale_untouched(visible, nothing);
  log_reference_ += std::log(unit);
  std::vector<bool> seen(n_, false);
  for (const Index i : visible) seen[i] = true;
  for (const Index i : visible) {
    const double factor = likelihood_.of(observation, outcome, {i}) / unit;
    single_[i] *= factor;
    for (Index j = 0; j < n_; ++j) {
      if (!seen[j]) pair(j, i) = pair(i, j) *= factor;
    }
    for (const Index j : visible) {
      if (j < i) pair(j, i) = pair(i, j) *= likelihood_.of(observation, outcome, {i, j}) / unit;
    }
  }
  sum_rows();
  const double total = std::exp(log_weight() - log_reference_);
  if (total < 1e-50 || total > 1e50) {
    for (double& w : pairs_) w /= total;
    for (double& w : single_) w /= total;
    none_ /= total;
    log_reference_ += std::log(total);
    sum_rows();
  }
  return true;
}

bool PairTable::still_wrong_after(Index repair) {
  std::vector<double> mend(n_, 0.0);
  std::vector<Index> mended;
  for (const Mend& m : likelihood_.model().repairs[repair].mends) {
    mend[m.mode] = m.chance;
    mended.push_back(m.mode);
  }
  double left = 0;  // only whether it is above zero matters
  for (Index i = 0; i < n_; ++i) {
    left += single_[i] * (1 - mend[i]);
    for (Index j = 0; j < i; ++j) left += pair(i, j) * (1 - mend[i] * mend[j]);
  }
  if (!(left > 0)) return false;
  for (const Index i : mended) single_[i] *= 1 - mend[i];
  std::vector<bool> done(n_, false);
  for (const Index i : mended) {
    for (Index j = 0; j < n_; ++j) {
      if (done[j] || pair(i, j) <= 0) continue;
      const double weight = pair(i, j);
      single_[j] += weight * mend[i] * (1 - mend[j]);
      single_[i] += weight * mend[j] * (1 - mend[i]);
      pair(j, i) = pair(i, j) = weight * (1 - mend[i]) * (1 - mend[j]);
    }
    done[i] = true;
  }
  sum_rows();
  touch(mended);
  return true;
}

std::vector<double> PairTable::marginals() const {
  const double total = std::exp(log_weight() - log_reference_);
  std::vector<double> out;
  for (std::size_t i = 0; i < n_; ++i) out.push_back((single_[i] + row_[i]) / total);
  return out;
}

std::vector<State> PairTable::likeliest(std::size_t n) const {
  const double total = std::exp(log_weight() - log_reference_);
  std::vector<State> out;
  if (none_ > 0) out.push_back({{}, none_ / total});
  for (Index i = 0; i < n_; ++i) {
    double alone = single_[i];
    for (Index j = 0; j < n_; ++j) {
      if (!touched_[j]) alone += touched_[i] ? pair(i, j) : pair(i, j) / 2;
    }
    if (alone > 0) out.push_back({{i}, alone / total});
    for (Index j = 0; j < i && touched_[i]; ++j) {
      if (touched_[j] && pair(i, j) > 0) out.push_back({{i, j}, pair(i, j) / total});
    }
  }
  const auto heavier = [](const State& a, const State& b) {
    return a.weight != b.weight ? a.weight > b.weight : a.faults < b.faults;
  };
  const std::size_t kept = std::min(n, out.size());
  std::partial_sort(out.begin(), out.begin() + static_cast<std::ptrdiff_t>(kept), out.end(), heavier);
  out.resize(kept);
  return out;
}

}  // namespace ringout::find
