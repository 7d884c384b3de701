// The default: the optimum where it can be proved; where it cannot, the better of what the search and a look-ahead
// promise. Both figures are costs of strategies that can be followed.
//
// Beyond `many` a look-ahead of d steps asks about (steps compared)^d situations, each with a share of the states: its
// work is taken as states · steps^d, without what the outcomes add. One of work took 0.3 to 3 µs on random models.
#include "find/optimum.h"
#include "find/strategy.h"

namespace ringout::find {

namespace {

constexpr std::size_t many_states = 96;
constexpr std::size_t many_options = 24;

class Best final : public Strategy {
 public:
  explicit Best(const Effort& effort) : effort_(effort) {}

  Step choose(const Space& space, const Situation& s) override {
    if (s.belief.size() > many_states || space.options(s).size() > many_options) return looked_ahead(space, s);
    if (space_ != space.number()) {
      space_ = space.number();
      search_ = std::make_unique<OptimumSearch>(space, effort_);
    }
    const OptimumSearch::Bounds found = search_->solve(s, effort_.nodes);
    if (found.closed()) return search_->step(s);
    // An estimate of what identifying costs is no promise: there the search's own strategy is followed.
    if (space.model().goal == Goal::identify) return search_->step(s);
    const Foreseen foreseen = look_ahead(space, s, effort_.depth, LookAheadSteps::all, effort_);
    return foreseen.cost < found.upper ? foreseen.step : search_->step(s);
  }

 private:
  // One step is always looked ahead, however late it is: what a busy machine recommends is no worse than that.
  [[nodiscard]] Step looked_ahead(const Space& space, const Situation& s) const {
    const Foreseen near = look_ahead(space, s, 1);
    if (effort_.depth < 2 || effort_.over()) return near.step;
    const std::size_t steps = short_list(space, s).size();
    std::size_t work = s.belief.size();
    for (int d = 0; d < effort_.depth; ++d) work *= steps;
    if (work > effort_.work) return near.step;
    const Foreseen far = look_ahead(space, s, effort_.depth, LookAheadSteps::all, effort_);
    // What identifying would cost is an estimate, and the nearer one no promise.
    if (space.model().goal == Goal::identify) return effort_.over() ? near.step : far.step;
    return far.cost < near.cost ? far.step : near.step;
  }

  Effort effort_;
  std::uint64_t space_ = 0;  // the number of the one that search_ is of
  std::unique_ptr<OptimumSearch> search_;
};

}  // namespace

std::unique_ptr<Strategy> make_best(const Effort& effort) {
  return std::make_unique<Best>(effort);
}

}  // namespace ringout::find
