// The optimum: AND/OR search over situations, each held once, with a lower and an upper bound on each.
//
//   L(s) = min over steps of c + sum of P · L(next),  U(s) likewise;  leaves by bounds.h
// The search walks from the root along the step with the least L and the branch with the largest P · (U - L), opens the
// leaf it comes to, and takes the bounds back along its way, until U - L at the root is below `enough` or the nodes are
// spent. L is always a true bound, U the cost of a strategy that can be followed. (Bounded real-time dynamic
// programming; the scheme from memory.)
#pragma once

#include <string>
#include <unordered_map>
#include <vector>

#include "find/strategy.h"

namespace ringout::find {

class OptimumSearch {
 public:
  OptimumSearch(const Space& space, const Effort& effort) : space_(space), effort_(effort) {}

  struct Bounds {
    double lower = 0.0;
    double upper = 0.0;
    [[nodiscard]] bool closed() const { return upper - lower <= 1e-9 * (1 + upper); }
  };
  // Searches from a situation with `nodes` more situations to open; what was found before is kept.
  Bounds solve(const Situation& root, std::size_t nodes);
  // The step with the least upper bound; of a situation that is not over.
  [[nodiscard]] Step step(const Situation& s);
  [[nodiscard]] std::size_t nodes() const { return nodes_.size(); }

  struct Quoted {
    Step step;
    Bounds bounds;
  };
  // Bounds of every step from a situation, in the order of Space::options.
  [[nodiscard]] std::vector<Quoted> quote(const Situation& s);

 private:
  struct Child {
    double chance = 0.0;
    Index node = 0;
  };
  struct Arc {
    Step step;
    double cost = 0.0;
    std::vector<Child> children;
  };
  struct Node {
    Situation situation;
    Bounds bounds;
    bool opened = false;
    std::vector<Arc> arcs;
    Step fallback;  // what achieves the upper bound of a leaf
  };
  Index node_of(const Situation& s);
  void open(Index node);
  void back_up(Index node);
  [[nodiscard]] Bounds of_arc(const Arc& arc) const;
  void probe(Index root);

  const Space& space_;
  Effort effort_;
  std::vector<Node> nodes_;
  std::unordered_map<std::string, Index> index_;
};

}  // namespace ringout::find
