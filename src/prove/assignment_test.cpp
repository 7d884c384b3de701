#include "prove/assignment.h"

#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <limits>
#include <random>

using namespace ringout::prove;

namespace {

constexpr double never = -std::numeric_limits<double>::infinity();

// Square assignment by cost, nothing absent.
AssignmentWeights square(const std::vector<std::vector<double>>& cost, double sign) {
  AssignmentWeights w;
  for (const auto& row : cost) {
    w.device.emplace_back();
    for (const double c : row) w.device.back().push_back(sign * c);
    w.none.push_back(never);
    w.absent.push_back(never);
  }
  return w;
}

}  // namespace

TEST_CASE("known assignments") {
  struct Case {
    const char* name;
    std::vector<std::vector<double>> cost;
    double sign;  // -1: least cost
    double total;
    std::vector<std::size_t> best;
  };
  const Case cases[] = {
      // Example in the documentation of SciPy's linear_sum_assignment (value from memory, recomputed).
      {"three by three", {{4, 1, 3}, {2, 0, 5}, {3, 2, 2}}, -1, 5, {1, 0, 2}},
      // H. W. Kuhn, "The Hungarian Method for the Assignment Problem", 1955 (value from memory, recomputed).
      {"Kuhn's example", {{8, 7, 9, 9}, {5, 2, 7, 8}, {6, 1, 4, 9}, {2, 3, 2, 6}}, 1, 27, {}},
      // A textbook's four by four (value from memory, recomputed).
      {"four by four", {{82, 83, 69, 92}, {77, 37, 49, 92}, {11, 69, 5, 86}, {8, 9, 98, 23}}, -1, 140, {2, 1, 0, 3}},
      {"greedy fails", {{1, 2}, {2, 100}}, -1, 4, {1, 0}},
  };
  for (const Case& c : cases) {
    CAPTURE(c.name);
    const auto out = assign(square(c.cost, c.sign));
    CHECK(c.sign * out.log_best == doctest::Approx(c.total).epsilon(1e-9));
    for (std::size_t p = 0; p < c.best.size(); ++p) {
      REQUIRE(out.best[p]);
      CHECK(*out.best[p] == c.best[p]);
    }
  }
}

TEST_CASE("sum, marginals and best agree with plain enumeration") {
  std::mt19937 random(11);
  std::uniform_real_distribution<double> log_weight(-6, 2);
  for (int round = 0; round < 20; ++round) {
    const std::size_t ports = 1 + random() % 4;
    const std::size_t devices = 1 + random() % 4;
    AssignmentWeights w;
    for (std::size_t p = 0; p < ports; ++p) {
      w.device.emplace_back();
      for (std::size_t d = 0; d < devices; ++d) w.device.back().push_back(log_weight(random));
      w.none.push_back(log_weight(random));
    }
    for (std::size_t d = 0; d < devices; ++d) w.absent.push_back(log_weight(random));

    double total = 0.0;
    double best = 0.0;
    std::vector<std::vector<double>> mass(ports, std::vector<double>(devices, 0.0));
    const std::function<void(std::size_t, unsigned, double, std::vector<std::size_t>)> go =
        [&](std::size_t p, unsigned used, double log_so_far, std::vector<std::size_t> chosen) {
          if (p == ports) {
            for (std::size_t d = 0; d < devices; ++d) {
              if ((used >> d & 1U) == 0) log_so_far += w.absent[d];
            }
            const double weight = std::exp(log_so_far);
            total += weight;
            best = std::max(best, weight);
            for (std::size_t q = 0; q < ports; ++q) {
              if (chosen[q] < devices) mass[q][chosen[q]] += weight;
            }
            return;
          }
          chosen.push_back(devices);
          go(p + 1, used, log_so_far + w.none[p], chosen);
          for (std::size_t d = 0; d < devices; ++d) {
            if ((used >> d & 1U) != 0) continue;
            chosen.back() = d;
            go(p + 1, used | (1U << d), log_so_far + w.device[p][d], chosen);
          }
        };
    go(0, 0, 0.0, {});
    const auto out = assign(w);
    CHECK(out.log_total == doctest::Approx(std::log(total)));
    CHECK(out.log_best == doctest::Approx(std::log(best)));
    for (std::size_t p = 0; p < ports; ++p) {
      for (std::size_t d = 0; d < devices; ++d) CHECK(out.device[p][d] == doctest::Approx(mass[p][d] / total));
    }
  }
}
