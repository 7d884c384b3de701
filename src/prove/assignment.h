// Exclusive assignment of devices to ports, summed exactly: every port carries one device or none, no device sits on
// two.
//
// The weight of an assignment is the product of its ports' weights (a port's device, or none) and of the absent
// devices' weights. A dynamic programme over the subsets of devices, port by port, gives the sum over all assignments,
// every marginal (forward and backward pass) and the best single assignment: O(ports * devices * 2^devices).
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

namespace ringout::prove {

inline constexpr std::size_t most_devices = 16;

// Natural logarithms of non-negative weights; minus infinity where impossible.
struct AssignmentWeights {
  std::vector<std::vector<double>> device;  // [port][device]
  std::vector<double> none;                 // [port]
  std::vector<double> absent;               // [device]; at most most_devices
};

struct AssignmentPosterior {
  double log_total = 0.0;
  std::vector<std::vector<double>> device;       // [port][device], probability
  std::vector<double> none;                      // [port]
  std::vector<double> absent;                    // [device]
  std::vector<std::optional<std::size_t>> best;  // [port] of the likeliest whole assignment
  double log_best = 0.0;
};

[[nodiscard]] AssignmentPosterior assign(const AssignmentWeights& weights);

// log(exp(a) + exp(b)).
[[nodiscard]] double log_add(double a, double b);
[[nodiscard]] double log_sum(const std::vector<double>& logs);

}  // namespace ringout::prove
