#include "find/policy.h"

#include <fmt/format.h>

#include <cmath>

namespace ringout::find {

namespace {

void put(std::string& out, std::uint64_t value) {
  out.append(reinterpret_cast<const char*>(&value), sizeof value);
}

template <std::size_t n>
void put_bits(std::string& out, const std::bitset<n>& bits) {
  for (std::size_t i = bits._Find_first(); i < n; i = bits._Find_next(i)) {
    const auto index = static_cast<std::uint16_t>(i);
    out.append(reinterpret_cast<const char*>(&index), sizeof index);
  }
  out.append("\xFF\xFF", 2);
}

class TreePrinter {
 public:
  TreePrinter(const Space& space, Strategy& strategy, const Effort& effort)
      : space_(space), strategy_(strategy), effort_(effort) {}

  TreeText text(int depth) {
    walk(space_.start(), 1.0, 0, depth);
    return std::move(out_);
  }

 private:
  std::string left(const Situation& s) const {
    const auto likeliest = std::max_element(s.belief.begin(), s.belief.end(),
                                            [](const Weighted& a, const Weighted& b) { return a.chance < b.chance; });
    return fmt::format("{} ({:.3g} of {} left)", full_name(space_.model(), space_.faults(likeliest->state)),
                       likeliest->chance, s.belief.size());
  }

  void walk(const Situation& s, double chance, int indent, int depth) {
    const std::string margin(static_cast<std::size_t>(indent) * 2, ' ');
    if (space_.over(s)) {
      out_.text += fmt::format("{}identified: {}\n", margin, left(s));
      return;
    }
    effort_.begin();
    const bool out_of_time = indent > 0 && effort_.over();
    if (depth == 0 || out_of_time) {
      out_.text += margin + "…\n";
      out_.whole = out_.whole && !out_of_time;
      return;
    }
    const Step step = strategy_.choose(space_, s);
    out_.text +=
        fmt::format("{}{} (cost {:.6g}, reached {:.3g})\n", margin, space_.text(step), space_.cost(s, step), chance);
    for (const Branch& b : space_.branches(s, step)) {
      if (b.ending == Ending::called || b.ending == Ending::identified) continue;
      std::string outcome = b.outcome == 0 ? "solved" : "still wrong";
      if (step.kind == Step::Kind::observe) outcome = space_.model().observations[step.index].outcomes[b.outcome];
      out_.text += fmt::format("{}- {}: {:.3g}\n", margin, outcome, b.chance);
      if (b.ending == Ending::none) walk(b.next, chance * b.chance, indent + 1, depth - 1);
    }
  }

  const Space& space_;
  Strategy& strategy_;
  const Effort& effort_;
  TreeText out_;
};

}  // namespace

std::string key_of(const Situation& s) {
  std::string out;
  out.reserve(16 + s.belief.size() * 16);
  put_bits(out, s.observed);
  put_bits(out, s.repaired);
  put_bits(out, s.open);
  put_bits(out, s.met);
  for (const Weighted& w : s.belief) {
    const double scaled = std::round(w.chance * 1099511627776.0);  // 2^40
    put(out, w.state);
    put(out, static_cast<std::uint64_t>(scaled));
  }
  return out;
}

double PolicyCost::of(const Situation& s, std::size_t nodes) {
  left_ = nodes;
  return walk(s);
}

double PolicyCost::walk(const Situation& s) {
  if (space_.over(s)) return 0.0;
  const std::string key = key_of(s);
  if (const auto at = known_.find(key); at != known_.end()) return at->second;
  if (left_ == 0 || (out_of_time_ && out_of_time_())) {
    complete_ = false;
    return estimate(space_, s);
  }
  --left_;
  const bool before = complete_;
  complete_ = true;
  const Step step = strategy_.choose(space_, s);
  double cost = space_.cost(s, step);
  for (const Branch& b : space_.branches(s, step)) {
    if (b.ending == Ending::none) cost += b.chance * walk(b.next);
  }
  known_.emplace(key, cost);
  complete_ = complete_ && before;
  return cost;
}

ExpectedCost expected_cost(const Space& space, Strategy& strategy, std::size_t nodes, const Effort& effort) {
  PolicyCost policy(space, strategy, effort.out_of_time);
  const double cost = policy.of(space.start(), nodes);
  return {cost, policy.complete(), policy.situations()};
}

TreeText print_tree(const Space& space, Strategy& strategy, int depth, const Effort& effort) {
  return TreePrinter(space, strategy, effort).text(depth);
}

}  // namespace ringout::find
