#include "prove/assignment.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"

namespace ringout::prove {

namespace {

constexpr double never = -std::numeric_limits<double>::infinity();

// Tables over (port, set of devices used by the ports before it). Weights are scaled port by port so that sums can be
// kept as plain numbers.
class Programme {
 public:
  explicit Programme(const AssignmentWeights& w)
      : w_(w), ports_(w.none.size()), devices_(w.absent.size()), sets_(std::size_t{1} << devices_) {
    scale();
  }

  AssignmentPosterior solve() {
    forward();
    backward();
    AssignmentPosterior out;
    const double total = behind_[0][0];
    out.log_total = total > 0.0 ? std::log(total) + log_scale_ : never;
    marginals(total, out);
    best(out);
    return out;
  }

 private:
  void scale() {
    device_.assign(ports_, std::vector<double>(devices_, 0.0));
    none_.assign(ports_, 0.0);
    for (std::size_t p = 0; p < ports_; ++p) {
      double top = w_.none[p];
      for (std::size_t d = 0; d < devices_; ++d) top = std::max(top, w_.device[p][d] - absent_shift(d));
      if (top == never) continue;
      log_scale_ += top;
      none_[p] = std::exp(w_.none[p] - top);
      for (std::size_t d = 0; d < devices_; ++d) device_[p][d] = std::exp(w_.device[p][d] - absent_shift(d) - top);
    }
    for (std::size_t d = 0; d < devices_; ++d) log_scale_ += absent_shift(d);
  }

  // A device's weight is taken relative to its absence where absence is possible.
  [[nodiscard]] double absent_shift(std::size_t d) const { return w_.absent[d] == never ? 0.0 : w_.absent[d]; }

  // Weight of ending with the devices of `used` placed: every other must be able to be absent.
  [[nodiscard]] double ending(std::size_t used) const {
    for (std::size_t d = 0; d < devices_; ++d) {
      if ((used >> d & 1U) == 0 && w_.absent[d] == never) return 0.0;
    }
    return 1.0;
  }

  void forward() {
    ahead_.assign(ports_ + 1, std::vector<double>(sets_, 0.0));
    ahead_[0][0] = 1.0;
    for (std::size_t p = 0; p < ports_; ++p) {
      for (std::size_t s = 0; s < sets_; ++s) {
        const double here = ahead_[p][s];
        if (here == 0.0) continue;
        ahead_[p + 1][s] += here * none_[p];
        for (std::size_t d = 0; d < devices_; ++d) {
          if ((s >> d & 1U) == 0) ahead_[p + 1][s | (std::size_t{1} << d)] += here * device_[p][d];
        }
      }
    }
  }

  void backward() {
    behind_.assign(ports_ + 1, std::vector<double>(sets_, 0.0));
    for (std::size_t s = 0; s < sets_; ++s) behind_[ports_][s] = ending(s);
    for (std::size_t p = ports_; p-- > 0;) {
      for (std::size_t s = 0; s < sets_; ++s) {
        double sum = behind_[p + 1][s] * none_[p];
        for (std::size_t d = 0; d < devices_; ++d) {
          if ((s >> d & 1U) == 0) sum += behind_[p + 1][s | (std::size_t{1} << d)] * device_[p][d];
        }
        behind_[p][s] = sum;
      }
    }
  }

  void marginals(double total, AssignmentPosterior& out) const {
    out.device.assign(ports_, std::vector<double>(devices_, 0.0));
    out.none.assign(ports_, 0.0);
    out.absent.assign(devices_, 1.0);
    if (total <= 0.0) return;
    for (std::size_t p = 0; p < ports_; ++p) {
      for (std::size_t s = 0; s < sets_; ++s) {
        const double here = ahead_[p][s] / total;
        if (here == 0.0) continue;
        out.none[p] += here * none_[p] * behind_[p + 1][s];
        for (std::size_t d = 0; d < devices_; ++d) {
          if ((s >> d & 1U) != 0) continue;
          out.device[p][d] += here * device_[p][d] * behind_[p + 1][s | (std::size_t{1} << d)];
        }
      }
      for (std::size_t d = 0; d < devices_; ++d) out.absent[d] -= out.device[p][d];
    }
    for (double& a : out.absent) a = std::max(a, 0.0);
  }

  // The same recursion with the largest term in the sum's place.
  void best(AssignmentPosterior& out) const {
    std::vector<std::vector<double>> most(ports_ + 1, std::vector<double>(sets_, 0.0));
    for (std::size_t s = 0; s < sets_; ++s) most[ports_][s] = ending(s);
    for (std::size_t p = ports_; p-- > 0;) {
      for (std::size_t s = 0; s < sets_; ++s) {
        double top = most[p + 1][s] * none_[p];
        for (std::size_t d = 0; d < devices_; ++d) {
          if ((s >> d & 1U) == 0) top = std::max(top, most[p + 1][s | (std::size_t{1} << d)] * device_[p][d]);
        }
        most[p][s] = top;
      }
    }
    out.log_best = most[0][0] > 0.0 ? std::log(most[0][0]) + log_scale_ : never;
    out.best.assign(ports_, std::nullopt);
    std::size_t s = 0;
    for (std::size_t p = 0; p < ports_; ++p) {
      double top = most[p + 1][s] * none_[p];
      std::size_t next = s;
      for (std::size_t d = 0; d < devices_; ++d) {
        if ((s >> d & 1U) != 0) continue;
        const double here = most[p + 1][s | (std::size_t{1} << d)] * device_[p][d];
        if (here <= top) continue;
        top = here;
        out.best[p] = d;
        next = s | (std::size_t{1} << d);
      }
      s = next;
    }
  }

  const AssignmentWeights& w_;
  std::size_t ports_;
  std::size_t devices_;
  std::size_t sets_;
  double log_scale_ = 0.0;
  std::vector<std::vector<double>> device_;
  std::vector<double> none_;
  std::vector<std::vector<double>> ahead_;   // [port][set]: sum over the ports before
  std::vector<std::vector<double>> behind_;  // [port][set]: sum over this port and those after
};

}  // namespace

AssignmentPosterior assign(const AssignmentWeights& weights) {
  RINGOUT_CHECK(weights.absent.size() <= most_devices);
  RINGOUT_CHECK(weights.device.size() == weights.none.size());
  return Programme(weights).solve();
}

double log_add(double a, double b) {
  const double top = std::max(a, b);
  return top == never ? never : top + std::log(std::exp(a - top) + std::exp(b - top));
}

double log_sum(const std::vector<double>& logs) {
  double top = never;
  for (const double l : logs) top = std::max(top, l);
  if (top == never) return never;
  double sum = 0.0;
  for (const double l : logs) sum += std::exp(l - top);
  return top + std::log(sum);
}

}  // namespace ringout::prove
