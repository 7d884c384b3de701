#include "find/optimum.h"

#include "find/bounds.h"
#include "find/policy.h"

namespace ringout::find {

Index OptimumSearch::node_of(const Situation& s) {
  const auto [at, fresh] = index_.emplace(key_of(s), static_cast<Index>(nodes_.size()));
  if (!fresh) return at->second;
  Node node;
  node.situation = s;
  if (!space_.over(s)) {
    node.bounds.lower = lower_bound(space_, s);
    if (space_.model().goal == Goal::repair) {
      const RepairPlan plan = plan_repairs(space_, s);
      node.bounds.upper = plan.cost;
      node.fallback = plan.first;
    } else {
      node.bounds.upper = upper_bound(space_, s);
      node.fallback = space_.options(s).front();
    }
    node.bounds.lower = std::min(node.bounds.lower, node.bounds.upper);
  }
  nodes_.push_back(std::move(node));
  return at->second;
}

void OptimumSearch::open(Index node) {
  const Situation s = nodes_[node].situation;
  std::vector<Arc> arcs;
  for (const Step step : space_.options(s)) {
    Arc arc{step, space_.cost(s, step), {}};
    for (const Branch& b : space_.branches(s, step)) {
      if (b.ending == Ending::none) arc.children.push_back({b.chance, node_of(b.next)});
    }
    arcs.push_back(std::move(arc));
  }
  nodes_[node].arcs = std::move(arcs);
  nodes_[node].opened = true;
}

OptimumSearch::Bounds OptimumSearch::of_arc(const Arc& arc) const {
  Bounds out{arc.cost, arc.cost};
  for (const Child& c : arc.children) {
    out.lower += c.chance * nodes_[c.node].bounds.lower;
    out.upper += c.chance * nodes_[c.node].bounds.upper;
  }
  return out;
}

void OptimumSearch::back_up(Index node) {
  Node& n = nodes_[node];
  Bounds least{1e300, 1e300};
  for (const Arc& arc : n.arcs) {
    const Bounds b = of_arc(arc);
    least.lower = std::min(least.lower, b.lower);
    least.upper = std::min(least.upper, b.upper);
  }
  n.bounds.lower = std::max(n.bounds.lower, least.lower);
  n.bounds.upper = std::min(n.bounds.upper, least.upper);
  n.bounds.lower = std::min(n.bounds.lower, n.bounds.upper);
}

void OptimumSearch::probe(Index root) {
  std::vector<Index> way{root};
  while (nodes_[way.back()].opened) {
    const Arc* best = nullptr;
    double least = 1e300;
    for (const Arc& arc : nodes_[way.back()].arcs) {
      const double lower = of_arc(arc).lower;
      if (best == nullptr || lower < least) best = &arc, least = lower;
    }
    if (best == nullptr) break;  // nothing can be done from there
    double widest = 0;
    std::optional<Index> next;
    for (const Child& c : best->children) {
      const Bounds& b = nodes_[c.node].bounds;
      const double gap = c.chance * (b.upper - b.lower);
      if (!b.closed() && gap > widest) widest = gap, next = c.node;
    }
    if (!next) break;
    way.push_back(*next);
  }
  if (!nodes_[way.back()].opened) open(way.back());
  while (!way.empty()) {
    back_up(way.back());
    way.pop_back();
  }
}

OptimumSearch::Bounds OptimumSearch::solve(const Situation& root, std::size_t nodes) {
  const Index at = node_of(root);
  const std::size_t last = nodes_.size() + nodes;
  // Each probe opens a situation or closes the root's gap along its best step; `stuck` ends what rounding holds open.
  std::size_t stuck = 0;
  while (!nodes_[at].bounds.closed() && nodes_.size() <= last && stuck < 64) {
    if (effort_.over()) break;
    const std::size_t before = nodes_.size();
    const Bounds was = nodes_[at].bounds;
    probe(at);
    const Bounds& is = nodes_[at].bounds;
    stuck = nodes_.size() == before && was.lower == is.lower && was.upper == is.upper ? stuck + 1 : 0;
  }
  return nodes_[at].bounds;
}

std::vector<OptimumSearch::Quoted> OptimumSearch::quote(const Situation& s) {
  const Index at = node_of(s);
  if (!nodes_[at].opened) {
    open(at);
    back_up(at);
  }
  std::vector<Quoted> out;
  for (const Arc& arc : nodes_[at].arcs) out.push_back({arc.step, of_arc(arc)});
  return out;
}

Step OptimumSearch::step(const Situation& s) {
  const std::vector<Quoted> steps = quote(s);
  const Node& node = nodes_[node_of(s)];
  Step best = node.fallback;
  double least = 1e300;
  for (const Quoted& q : steps) {
    if (q.bounds.upper < least - 1e-12) best = q.step, least = q.bounds.upper;
  }
  return best;
}

namespace {

class Optimum final : public Strategy {
 public:
  explicit Optimum(const Effort& effort) : effort_(effort) {}

  Step choose(const Space& space, const Situation& s) override {
    if (space_ != space.number()) {
      space_ = space.number();
      search_ = std::make_unique<OptimumSearch>(space, effort_);
    }
    search_->solve(s, effort_.nodes);
    return search_->step(s);
  }

 private:
  Effort effort_;
  std::uint64_t space_ = 0;  // the number of the one that search_ is of
  std::unique_ptr<OptimumSearch> search_;
};

}  // namespace

std::unique_ptr<Strategy> make_optimum(const Effort& effort) {
  return std::make_unique<Optimum>(effort);
}

}  // namespace ringout::find
