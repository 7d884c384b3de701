#include "desk/network.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <string>

#include "desk/elimination.h"

namespace ringout::desk {
namespace {

constexpr std::uint32_t no_entry = ~std::uint32_t{0};
constexpr double solved = 1e-12;      // residual over the currents that meet at the node
constexpr double good_enough = 1e-9;  // where rounding lets the residual fall no further
constexpr double rounded = 2e-15;     // of a voltage, by the solution of the equations
constexpr int newton_steps = 30;
constexpr int relaxing_steps = 2000;

std::optional<Error> faulty_element(const Circuit& c) {
  const auto node = [&](NodeIndex n) { return n < c.nodes; };
  bool good = c.nodes >= 1;
  for (const Source& s : c.sources) good &= node(s.node) && s.node != ground && s.internal.si > 0.0;
  for (const Resistor& r : c.resistors) good &= node(r.from) && node(r.to) && r.from != r.to && r.resistance.si > 0.0;
  for (const CurrentLoad& l : c.current_loads) good &= node(l.node) && l.node != ground;
  for (const ChoppedLoad& l : c.chopped_loads) good &= node(l.node) && l.node != ground && l.loop.si > 0.0;
  if (good) return std::nullopt;
  return Error{ErrorKind::bad_input, "desk.element",
               "an element of the circuit has no positive resistance or joins nodes that are not there",
               "give every wire, contact, driver and source a resistance above zero"};
}

std::optional<Error> floating_node(const Circuit& c) {
  std::vector<NodeIndex> leader(c.nodes);
  for (NodeIndex n = 0; n < c.nodes; ++n) leader[n] = n;
  const auto find = [&](NodeIndex n) {
    while (leader[n] != n) n = leader[n] = leader[leader[n]];
    return n;
  };
  for (const Source& s : c.sources) leader[find(s.node)] = find(ground);
  for (const Resistor& r : c.resistors) leader[find(r.from)] = find(r.to);
  for (NodeIndex n = 1; n < c.nodes; ++n) {
    if (find(n) == find(ground)) continue;
    return Error{ErrorKind::bad_input, "desk.floating-node",
                 "node " + std::to_string(n) + " of the circuit is reached by no source", "join it to the supply"};
  }
  return std::nullopt;
}

Error no_solution(const std::string& why) {
  return Error{ErrorKind::bad_input, "desk.no-solution", why,
               "the loads ask for more than their supply can give: fewer of them at a time, or thicker wire"};
}

}  // namespace

Result<Network> Network::of(const Circuit& circuit) {
  if (auto error = faulty_element(circuit)) return tl::unexpected<Error>(std::move(*error));
  if (auto error = floating_node(circuit)) return tl::unexpected<Error>(std::move(*error));
  Network n;
  n.size_ = circuit.nodes - 1;
  std::vector<Pair> pairs;
  for (const Resistor& r : circuit.resistors) {
    if (r.from != ground && r.to != ground) pairs.push_back({r.from - 1, r.to - 1});
  }
  const Elimination e = eliminate(n.size_, pairs);
  n.row_of_ = e.place;
  n.column_start_ = e.column_start;
  n.rows_ = e.rows;
  const auto entry = [&](std::uint32_t column, std::uint32_t row) {
    const auto from = n.rows_.begin() + n.column_start_[column], to = n.rows_.begin() + n.column_start_[column + 1];
    return static_cast<std::uint32_t>(std::lower_bound(from, to, row) - n.rows_.begin());
  };
  const auto size = static_cast<std::uint32_t>(n.size_);
  for (std::uint32_t column = 0; column < size; ++column) {
    n.update_start_.push_back(static_cast<std::uint32_t>(n.updates_.size()));
    for (std::uint32_t a = n.column_start_[column]; a < n.column_start_[column + 1]; ++a) {
      for (std::uint32_t b = a; b < n.column_start_[column + 1]; ++b) {
        const std::uint32_t to = a == b ? n.rows_[a] : size + entry(n.rows_[a], n.rows_[b]);
        n.updates_.push_back({to, a, b});
      }
    }
  }
  n.update_start_.push_back(static_cast<std::uint32_t>(n.updates_.size()));
  for (const Resistor& r : circuit.resistors) {
    if (r.from == ground || r.to == ground) {
      n.entry_of_.push_back(no_entry);
      continue;
    }
    const auto [column, row] = std::minmax(n.row_of_[r.from - 1], n.row_of_[r.to - 1]);
    n.entry_of_.push_back(entry(column, row));
  }
  n.values_.resize(n.size_ + n.rows_.size());
  n.step_.resize(n.size_);
  n.residual_.resize(circuit.nodes);
  n.scale_.resize(circuit.nodes);
  n.rounding_.resize(circuit.nodes);
  return n;
}

// Currents at the voltages of `at`; the sum at every node (out of it: positive). Returns the largest over its scale.
double Network::evaluate(const Circuit& c, Solution& at) {
  std::fill(residual_.begin(), residual_.end(), 0.0);
  std::fill(scale_.begin(), scale_.end(), 0.0);
  std::fill(rounding_.begin(), rounding_.end(), 0.0);
  const auto leaves = [&](NodeIndex n, Current i) {
    residual_[n] += i.si;
    scale_[n] += std::abs(i.si);
  };
  for (std::size_t s = 0; s < c.sources.size(); ++s) {
    const Source& source = c.sources[s];
    at.sources[s] = (source.emf - at.nodes[source.node]) / source.internal;
    leaves(source.node, -at.sources[s]);
    rounding_[source.node] += rounded * (std::abs(source.emf.si) + at.nodes[source.node].si) / source.internal.si;
  }
  for (std::size_t r = 0; r < c.resistors.size(); ++r) {
    const Resistor& resistor = c.resistors[r];
    const double from = at.nodes[resistor.from].si, to = at.nodes[resistor.to].si;
    const Current i{(from - to) * conductance_[r]};
    at.resistors[r] = i;
    leaves(resistor.from, i);
    leaves(resistor.to, -i);
    const double lost = rounded * (std::abs(from) + std::abs(to)) * conductance_[r];
    rounding_[resistor.from] += lost;
    rounding_[resistor.to] += lost;
  }
  for (const CurrentLoad& load : c.current_loads) leaves(load.node, load.current);
  for (std::size_t l = 0; l < c.chopped_loads.size(); ++l) {
    at.chopped_loads[l] = load_at(c.chopped_loads[l], at.nodes[c.chopped_loads[l].node]);
    leaves(c.chopped_loads[l].node, at.chopped_loads[l].supply_current);
  }
  double largest = 0.0, worst = 0.0;
  for (NodeIndex n = 1; n < c.nodes; ++n) {
    if (!std::isfinite(residual_[n])) return std::numeric_limits<double>::infinity();
    largest = std::max(largest, std::abs(residual_[n]));
    // What rounding of the voltages alone leaves counts as nothing.
    const double real = std::abs(residual_[n]) - rounding_[n];
    if (scale_[n] > 0.0) worst = std::max(worst, real / scale_[n]);
  }
  at.residual = {largest};
  return worst;
}

void Network::assemble(const Circuit& c, const Solution& at, double damping) {
  std::fill(values_.begin(), values_.end(), 0.0);
  const auto diagonal = [&](NodeIndex n) -> double& { return values_[row_of_[n - 1]]; };
  for (const Source& s : c.sources) diagonal(s.node) += 1.0 / s.internal.si;
  for (std::size_t r = 0; r < c.resistors.size(); ++r) {
    const Resistor& resistor = c.resistors[r];
    const double g = conductance_[r];
    if (resistor.from != ground) diagonal(resistor.from) += g;
    if (resistor.to != ground) diagonal(resistor.to) += g;
    if (entry_of_[r] != no_entry) values_[size_ + entry_of_[r]] -= g;
  }
  for (std::size_t l = 0; l < c.chopped_loads.size(); ++l) {
    diagonal(c.chopped_loads[l].node) += at.chopped_loads[l].conductance;
  }
  for (std::size_t n = 0; damping > 0.0 && n < size_; ++n) values_[n] += damping;
  for (NodeIndex n = 1; n < c.nodes; ++n) step_[row_of_[n - 1]] = -residual_[n];
}

// L·D·Lᵀ in place: diagonals become D, entries L. False at a pivot of nothing.
bool Network::factor() {
  for (std::size_t column = 0; column < size_; ++column) {
    const double d = values_[column];
    if (!(std::abs(d) > 0.0) || !std::isfinite(d)) return false;
    const double inverse = 1.0 / d;
    for (std::uint32_t u = update_start_[column]; u < update_start_[column + 1]; ++u) {
      values_[updates_[u].to] -= values_[size_ + updates_[u].a] * values_[size_ + updates_[u].b] * inverse;
    }
    for (std::uint32_t e = column_start_[column]; e < column_start_[column + 1]; ++e) values_[size_ + e] *= inverse;
  }
  return true;
}

void Network::substitute() {
  for (std::size_t column = 0; column < size_; ++column) {
    for (std::uint32_t e = column_start_[column]; e < column_start_[column + 1]; ++e) {
      step_[rows_[e]] -= values_[size_ + e] * step_[column];
    }
  }
  for (std::size_t column = size_; column-- > 0;) {
    step_[column] /= values_[column];
    for (std::uint32_t e = column_start_[column]; e < column_start_[column + 1]; ++e) {
      step_[column] -= values_[size_ + e] * step_[rows_[e]];
    }
  }
}

void Network::take_conductances(const Circuit& c) {
  conductance_.clear();
  for (const Resistor& r : c.resistors) conductance_.push_back(1.0 / r.resistance.si);
}

bool Network::newton(const Circuit& c, Solution& at) {
  double worst = evaluate(c, at);
  for (int step = 0; step < newton_steps; ++step, ++at.iterations) {
    if (worst <= solved) return true;
    assemble(c, at, 0.0);
    if (!factor()) return false;
    substitute();
    double largest = 0.0, moved = 0.0;
    for (NodeIndex n = 1; n < c.nodes; ++n) {
      at.nodes[n].si += step_[row_of_[n - 1]];
      largest = std::max(largest, std::abs(at.nodes[n].si));
      moved = std::max(moved, std::abs(step_[row_of_[n - 1]]));
    }
    worst = evaluate(c, at);
    if (moved <= 1e-13 * largest && worst <= good_enough) return true;
  }
  return worst <= good_enough;
}

// As if every node had a capacitance to ground, with ever longer time steps: follows the supply down from its open
// voltage to the first place where it can stay.
bool Network::relax(const Circuit& c, Solution& at) {
  double start = 0.0;
  for (const Source& s : c.sources) start = std::max(start, 1.0 / s.internal.si);
  double damping = start, worst = evaluate(c, at);
  double norm = at.residual.si;
  for (int step = 0; step < relaxing_steps; ++step, ++at.iterations) {
    if (worst <= solved) return true;
    assemble(c, at, damping);
    if (!factor()) return false;
    substitute();
    for (NodeIndex n = 1; n < c.nodes; ++n) at.nodes[n].si += step_[row_of_[n - 1]];
    worst = evaluate(c, at);
    const double now = at.residual.si;
    damping = std::clamp(damping * (now < norm ? 0.7 : 1.5), 1e-9 * start, 1e3 * start);
    norm = now;
  }
  return worst <= good_enough;
}

Result<void> Network::solve(const Circuit& c, Solution& into) {
  Voltage highest;
  for (const Source& s : c.sources) highest = std::max(highest, s.emf);
  const auto start = [&] {
    into.nodes.assign(c.nodes, highest);
    into.nodes[ground] = {};
    into.sources.resize(c.sources.size());
    into.resistors.resize(c.resistors.size());
    into.chopped_loads.resize(c.chopped_loads.size());
  };
  into.iterations = 0;
  take_conductances(c);
  start();
  bool found = newton(c, into);
  if (!found) {
    start();
    found = relax(c, into);
  }
  if (!found) return tl::unexpected<Error>(no_solution("no voltages satisfy all loads at once"));
  return judge(c, into);
}

Result<void> Network::solve_near(const Circuit& c, Solution& into) {
  into.iterations = 0;
  take_conductances(c);
  if (newton(c, into)) return judge(c, into);
  return solve(c, into);
}

// Whether what was found can be, and its powers.
Result<void> Network::judge(const Circuit& c, Solution& into) {
  for (const CurrentLoad& load : c.current_loads) {
    if (load.current.si > 0.0 && into.nodes[load.node].si <= 0.0) {
      return tl::unexpected<Error>(no_solution("a load of fixed current would pull its supply below zero volts"));
    }
  }
  into.delivered = into.heat = into.converted = into.constant = {};
  for (std::size_t s = 0; s < c.sources.size(); ++s) {
    into.delivered += c.sources[s].emf * into.sources[s];
    into.heat += c.sources[s].internal * into.sources[s] * into.sources[s];
  }
  for (std::size_t r = 0; r < c.resistors.size(); ++r) {
    into.heat += c.resistors[r].resistance * into.resistors[r] * into.resistors[r];
  }
  for (const CurrentLoad& load : c.current_loads) into.constant += into.nodes[load.node] * load.current;
  for (std::size_t l = 0; l < c.chopped_loads.size(); ++l) {
    const LoadState& state = into.chopped_loads[l];
    into.heat += c.chopped_loads[l].loop * state.current * state.current;
    into.converted += c.chopped_loads[l].k * state.speed * state.current;
  }
  const Power used = into.heat + into.converted + into.constant;
  const double larger = std::max(std::abs(into.delivered.si), std::abs(used.si));
  into.imbalance = larger > 0.0 ? std::abs((into.delivered - used).si) / larger : 0.0;
  return {};
}

Result<Solution> solve(const Circuit& circuit) {
  auto network = Network::of(circuit);
  if (!network) return tl::unexpected<Error>(network.error());
  Solution solution;
  if (auto done = network->solve(circuit, solution); !done) return tl::unexpected<Error>(done.error());
  return solution;
}

}  // namespace ringout::desk
