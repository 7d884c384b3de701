// The currents and voltages of a circuit (circuit.h): Kirchhoff's current law at every node.
//
//   Σ (Vn − Vm)/R + Σ loads(Vn) − Σ (E − Vn)/r = 0
//
// Nodal analysis, G·V = I: G is symmetric and factored as L·D·Lᵀ in an order of least degree, which is linear in the
// number of elements where the circuit is a tree, as most robots are. Loads that do not follow their voltage in
// proportion (current limits, held speeds, motors that stand or run) are solved by Newton's method from above: of
// several solutions the one of the higher voltage is found, where a real supply starts. Source: any text on circuit
// simulation, e.g. L. W. Nagel, SPICE2, 1975 (from memory).
#pragma once

#include <cstdint>
#include <vector>

#include "base/result.h"
#include "desk/circuit.h"

namespace ringout::desk {

struct Solution {
  std::vector<Voltage> nodes;            // ground first
  std::vector<Current> sources;          // delivered
  std::vector<Current> resistors;        // from → to
  std::vector<LoadState> chopped_loads;  // in the circuit's order
  Current residual;                      // largest sum of currents at a node
  Power delivered;                       // Σ E·I of the sources
  Power heat;                            // in resistances, windings included
  Power converted;                       // Σ k·ω·I: to the shafts, iron and bearing friction included
  Power constant;                        // taken by current loads
  double imbalance = 0.0;                // |delivered − all others| / the larger of both
  int iterations = 0;
};

// A circuit's pattern, factored in symbols once; solve it for as many numbers as are wanted.
class Network {
 public:
  // Errors (bad_input): "desk.element" a resistance that is not positive or a node that is not there;
  // "desk.floating-node" a node that no source reaches.
  [[nodiscard]] static Result<Network> of(const Circuit& circuit);

  // `circuit` has the pattern this was made of, with any numbers; `into` is overwritten and reused. Error (bad_input):
  // "desk.no-solution" where no voltages satisfy all loads: a current load asks for more than its path can carry.
  [[nodiscard]] Result<void> solve(const Circuit& circuit, Solution& into);
  // The same where `into.nodes` hold a solution of nearly the same numbers: found from there, in fewer steps.
  [[nodiscard]] Result<void> solve_near(const Circuit& circuit, Solution& into);

 private:
  struct Update {  // values[to] −= values[a]·values[b]·d of one column
    std::uint32_t to, a, b;
  };
  Network() = default;
  void take_conductances(const Circuit& circuit);
  [[nodiscard]] double evaluate(const Circuit& circuit, Solution& at);
  void assemble(const Circuit& circuit, const Solution& at, double damping);
  [[nodiscard]] bool factor();
  void substitute();
  [[nodiscard]] bool newton(const Circuit& circuit, Solution& at);
  [[nodiscard]] bool relax(const Circuit& circuit, Solution& at);
  [[nodiscard]] static Result<void> judge(const Circuit& circuit, Solution& found);

  std::size_t size_ = 0;                     // unknowns
  std::vector<std::uint32_t> row_of_;        // node − 1 → place in the order
  std::vector<std::uint32_t> column_start_;  // into rows_, per column of L
  std::vector<std::uint32_t> rows_;
  std::vector<std::uint32_t> update_start_;  // into updates_, per column
  std::vector<Update> updates_;              // `to` below size_: a diagonal; else size_ + entry
  std::vector<std::uint32_t> entry_of_;      // per resistor: its entry of L, or none
  std::vector<double> values_;               // diagonals, then L's entries
  std::vector<double> conductance_;          // per resistor
  std::vector<double> step_;
  std::vector<double> residual_;  // per node, ground first
  std::vector<double> scale_;     // Σ |current| per node
  std::vector<double> rounding_;  // what rounding of the voltages alone may leave, A per node
};

[[nodiscard]] Result<Solution> solve(const Circuit& circuit);

}  // namespace ringout::desk
