// For tests and benches: short ways to write a model, and random ones.
#pragma once

#include <random>
#include <string>
#include <utility>
#include <vector>

#include "find/space.h"

namespace ringout::find::testing {

// Adds a part with one mode; its index.
Index add_fault(Model& model, const std::string& name, double prior);

struct ShownBy {
  Index mode;
  double bad;  // P(outcome 1)
};
// Adds an observation "good"/"bad" that shows "bad" with the stated chances, and with `healthy` otherwise.
Index add_check(Model& model, const std::string& name, double cost, const std::vector<ShownBy>& effects,
                double healthy = 0.0);
// Adds a repair that mends each with its chance.
Index add_repair(Model& model, const std::string& name, double cost, std::vector<Mend> mends);

// A matrix of test results as in the literature: rows of '0' and '1', one a state, one column a test at unit cost. The
// goal is to identify; priors as given; a state without fault is written like any other.
Model test_matrix(const std::vector<std::string>& rows, const std::vector<double>& priors);

// A lamp stays dark: bulb, fuse or supply, several at once; four checks, the lamp itself first, and three repairs.
Model dark_lamp();

struct RandomSize {
  std::size_t faults = 4;
  std::size_t checks = 4;
  std::size_t repairs = 4;
};
// A repairable case with everything in it now and then: noisy checks, places, repairs that mend several faults or fail,
// several faults at once, needs. Only `seed` decides.
Model random_case(std::uint32_t seed, RandomSize size);

// A large machine: branches of a tree of shared parts, three faults a part, observations along each branch.
Model large_machine(std::size_t parts, std::size_t observations, std::uint32_t seed);

// Owns what a Space refers to.
struct Case {
  explicit Case(Model m, std::size_t states = 4096);
  Model model;
  Likelihood likelihood;
  Posterior posterior;
  Space space;
};

}  // namespace ringout::find::testing
