// The default: the optimum where it can be proved; the better of the search's own strategy and rollout where it cannot.
#include "find/optimum.h"
#include "find/strategy.h"

namespace ringout::find {

namespace {

class Best final : public Strategy {
 public:
  explicit Best(const Effort& effort) : effort_(effort), rollout_(make_rollout(effort)) {}

  Step choose(const Space& space, const Situation& s) override {
    if (space_ != &space) {
      space_ = &space;
      search_ = std::make_unique<OptimumSearch>(space, effort_);
    }
    if (search_->solve(s, effort_.nodes).closed()) return search_->step(s);
    return rollout_->choose(space, s);
  }

 private:
  Effort effort_;
  const Space* space_ = nullptr;
  std::unique_ptr<OptimumSearch> search_;
  std::unique_ptr<Strategy> rollout_;
};

}  // namespace

std::unique_ptr<Strategy> make_best(const Effort& effort) {
  return std::make_unique<Best>(effort);
}

}  // namespace ringout::find
