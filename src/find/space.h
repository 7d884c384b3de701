// The states of a case made ready for search: what each step costs in a situation, what may come of it, and how likely.
//
// A situation is a belief over the states together with what has been done on the bench. It is all that the future
// depends on, so that strategies are functions of it and equal situations reached in different orders are one.
#pragma once

#include <bitset>
#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "find/posterior.h"

namespace ringout::find {

struct Weighted {
  Index state = 0;  // of Space
  double chance = 0.0;
};
using Belief = std::vector<Weighted>;  // by state, ascending; sums to 1

struct Step {
  enum class Kind { observe, repair, call, stop } kind = Kind::stop;  // stop: identified, or nothing left to learn
  Index index = 0;                                                    // of the observation or repair
  auto operator<=>(const Step&) const = default;
};

struct Situation {
  Belief belief;
  std::bitset<max_observations> observed;  // and not worth repeating
  std::bitset<max_repairs> repaired;
  std::bitset<max_places> open;
  std::bitset<max_needs> met;
};

enum class Ending { none, solved, called, identified };

struct Branch {
  double chance = 0.0;
  Index outcome = 0;  // of an observation; for a repair 0 = solved, 1 = still wrong
  Ending ending = Ending::none;
  Situation next;  // where ending is none
};

class Space {
 public:
  // From states with their probabilities (posterior.likeliest(n)); what a repair may leave of them is added.
  Space(const Likelihood& likelihood, const std::vector<State>& start);
  Space(const Space&) = delete;
  Space& operator=(const Space&) = delete;

  // No two spaces of a process have one number: whoever remembers a space knows by it whether this is still the one.
  // An address does not tell, because the next space may stand where the last one stood.
  [[nodiscard]] std::uint64_t number() const { return number_; }
  [[nodiscard]] const Situation& start() const { return start_; }
  [[nodiscard]] const Model& model() const { return likelihood_.model(); }
  [[nodiscard]] const FaultSet& faults(Index state) const { return states_[state]; }
  [[nodiscard]] std::size_t size() const { return states_.size(); }

  // Identified already, or (to identify) nothing left that could tell the states apart. Repairs are over when solved.
  [[nodiscard]] bool over(const Situation& s) const;
  // Every step that is allowed and can change something: observations that can tell states apart, or that such a one
  // or a repair waits for and may get; repairs that mend something believed possible, the call. Stable order:
  // observations, repairs, call.
  [[nodiscard]] std::vector<Step> options(const Situation& s) const;
  [[nodiscard]] double cost(const Situation& s, Step step) const;  // with what must be opened first
  [[nodiscard]] std::vector<Branch> branches(const Situation& s, Step step) const;

  // What is done on the bench, the belief aside (find.h replays a case with these).
  void note_observed(Situation& s, Index observation, Index outcome) const;
  void note_repaired(Situation& s, Index repair) const;

  [[nodiscard]] bool informative(const Situation& s, Index observation) const;
  [[nodiscard]] std::vector<double> predict(const Situation& s, Index observation) const;
  // I(outcome; state) in nats.
  [[nodiscard]] double information(const Situation& s, Index observation) const;
  [[nodiscard]] double solve_chance(const Situation& s, Index repair) const;
  [[nodiscard]] double touch_chance(const Situation& s, Index repair) const;  // that it bears on any of what is there
  // Whether the call, or a sure repair of each fault that may be there, is left: without, no time to the end is known.
  [[nodiscard]] bool has_way_to_end(const Situation& s) const;
  [[nodiscard]] bool may_repair(const Situation& s, Index repair) const { return allowed(s, repair_needs_[repair]); }
  [[nodiscard]] bool may_observe(const Situation& s, Index o) const { return allowed(s, observation_needs_[o]); }
  void open_up(Situation& s, std::optional<Index> place) const;  // it and what it is inside
  // Chances to solve for all repairs at once.
  [[nodiscard]] std::vector<double> solve_chances(const Belief& belief) const;
  [[nodiscard]] double likelihood(Index observation, Index outcome, Index state) const;
  // The cheapest repair, with opening, or call that could end it, were the state known: see bounds.h.
  [[nodiscard]] double known_cost(const Situation& s, Index state) const;
  [[nodiscard]] std::string text(Step step) const;

  // A repair's chance to mend everything of a state, for those that can mend anything of it.
  struct Leftover {
    Index state = 0;
    double chance = 0.0;
  };
  struct Cure {
    Index repair = 0;
    double all = 0.0;
    std::vector<Leftover> left;  // otherwise
  };
  [[nodiscard]] const std::vector<Cure>& cures(Index state) const { return cures_[state]; }
  [[nodiscard]] Belief still_wrong(const Belief& belief, Index repair) const;

 private:
  void add_states(const std::vector<State>& start);
  void note_needs();
  void note_cures();
  struct Table {
    std::vector<double> chance;   // [state][outcome]
    std::vector<double> entropy;  // [state], nats
  };
  [[nodiscard]] const Table& table(Index observation) const;
  [[nodiscard]] bool allowed(const Situation& s, const std::vector<std::size_t>& needs) const;
  [[nodiscard]] std::bitset<max_needs> within_reach(const Situation& s) const;
  void ask_for(const Situation& s, const std::vector<std::size_t>& needs, std::vector<bool>& helps) const;
  [[nodiscard]] double opening(const Situation& s, std::optional<Index> place) const;
  void note_seen(Situation& s, Index observation, Index outcome) const;
  void note_done(Situation& s, Index repair) const;
  void repeat_what_sees(Situation& s, Index mode) const;
  [[nodiscard]] std::vector<Branch> observe(const Situation& s, Index observation) const;
  [[nodiscard]] std::vector<Branch> repair(const Situation& s, Index repair) const;
  [[nodiscard]] std::vector<Leftover> leftovers(Index state, Index repair) const;

  const std::uint64_t number_;
  const Likelihood& likelihood_;
  std::vector<FaultSet> states_;
  std::map<FaultSet, Index> index_;
  std::vector<std::vector<Cure>> cures_;
  std::vector<std::vector<std::size_t>> observation_needs_;  // bits of Situation::met
  std::vector<std::vector<std::size_t>> repair_needs_;
  std::vector<Need> needs_;  // by bit
  Situation start_;
  mutable std::vector<Table> tables_;  // per observation, filled when first asked
};

}  // namespace ringout::find
