// The default: the optimum where it can be proved; where it cannot, the better of what the search and a look-ahead
// promise. Both figures are costs of strategies that can be followed.
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
    if (s.belief.size() > many_states || space.options(s).size() > many_options) return look_ahead(space, s, 1).step;
    if (space_ != space.number()) {
      space_ = space.number();
      search_ = std::make_unique<OptimumSearch>(space, effort_);
    }
    const OptimumSearch::Bounds found = search_->solve(s, effort_.nodes);
    if (found.closed()) return search_->step(s);
    // An estimate of what identifying costs is no promise: there the search's own strategy is followed.
    if (space.model().goal == Goal::identify) return search_->step(s);
    const Foreseen foreseen = look_ahead(space, s, effort_.depth);
    return foreseen.cost < found.upper ? foreseen.step : search_->step(s);
  }

 private:
  Effort effort_;
  std::uint64_t space_ = 0;  // the number of the one that search_ is of
  std::unique_ptr<OptimumSearch> search_;
};

}  // namespace

std::unique_ptr<Strategy> make_best(const Effort& effort) {
  return std::make_unique<Best>(effort);
}

}  // namespace ringout::find
