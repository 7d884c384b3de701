#include "desk/elimination.h"

#include <algorithm>
#include <queue>

namespace ringout::desk {
namespace {

// A variable and the neighbours it had when it was queued; an entry whose count has changed since is stale.
struct Candidate {
  std::size_t degree;
  std::uint32_t variable;
  bool operator>(const Candidate& other) const {
    return degree != other.degree ? degree > other.degree : variable > other.variable;
  }
};

class Graph {
 public:
  Graph(std::size_t size, const std::vector<Pair>& pairs) : neighbours_(size), degree_(size, 0), gone_(size, 0) {
    for (const Pair& p : pairs) join(p.a, p.b);
    for (std::uint32_t v = 0; v < size; ++v) queue_.push({degree_[v], v});
  }

  [[nodiscard]] std::uint32_t fewest() {
    while (true) {
      const Candidate next = queue_.top();
      queue_.pop();
      if (gone_[next.variable] == 0 && degree_[next.variable] == next.degree) return next.variable;
    }
  }

  // Takes a variable out and joins its neighbours with one another; returns them.
  [[nodiscard]] std::vector<std::uint32_t> take(std::uint32_t v) {
    gone_[v] = 1;
    std::vector<std::uint32_t> left;
    for (const std::uint32_t n : neighbours_[v]) {
      if (gone_[n] == 0) left.push_back(n);
    }
    for (const std::uint32_t n : left) --degree_[n];
    for (std::size_t a = 0; a < left.size(); ++a) {
      for (std::size_t b = a + 1; b < left.size(); ++b) join(left[a], left[b]);
    }
    for (const std::uint32_t n : left) queue_.push({degree_[n], n});
    return left;
  }

 private:
  void join(std::uint32_t a, std::uint32_t b) {
    if (neighbours_[a].size() > neighbours_[b].size()) std::swap(a, b);
    if (std::find(neighbours_[a].begin(), neighbours_[a].end(), b) != neighbours_[a].end()) return;
    neighbours_[a].push_back(b);
    neighbours_[b].push_back(a);
    ++degree_[a];
    ++degree_[b];
  }

  std::vector<std::vector<std::uint32_t>> neighbours_;
  std::vector<std::size_t> degree_;  // neighbours that are not gone
  std::vector<char> gone_;
  std::priority_queue<Candidate, std::vector<Candidate>, std::greater<>> queue_;
};

}  // namespace

Elimination eliminate(std::size_t size, const std::vector<Pair>& pairs) {
  Graph graph(size, pairs);
  Elimination e;
  e.place.resize(size);
  std::vector<std::vector<std::uint32_t>> columns;
  for (std::uint32_t at = 0; at < size; ++at) {
    const std::uint32_t v = graph.fewest();
    e.place[v] = at;
    columns.push_back(graph.take(v));
  }
  for (std::vector<std::uint32_t>& column : columns) {
    e.column_start.push_back(static_cast<std::uint32_t>(e.rows.size()));
    for (std::uint32_t& v : column) v = e.place[v];
    std::sort(column.begin(), column.end());
    e.rows.insert(e.rows.end(), column.begin(), column.end());
  }
  e.column_start.push_back(static_cast<std::uint32_t>(e.rows.size()));
  return e;
}

}  // namespace ringout::desk
