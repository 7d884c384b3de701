// A bench without a controller: bumps and hand actions played straight on the plant's pins, sampled the way the agent
// samples, ended by time, switches and encoders as the agent ends them. Left out: the allowance for analogue sensors,
// so that a motor goes further here than under the agent, and the slope at the end. What comes out is what an estimator
// may see, and nothing else.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "capture/sample.h"
#include "plant/plant.h"
#include "prove/bump_plan.h"
#include "prove/identify.h"
#include "robot/robot.h"

namespace ringout::scenarios {

class Bench {
 public:
  Bench(const robot::Robot& drawn, const plant::Deviations& deviations, std::uint64_t seed);

  [[nodiscard]] capture::BumpRecord bump(std::uint8_t bridge, int level_permille, const prove::BumpPlan& plan);
  // Out and back; the two records are appended.
  void bump_pair(std::uint8_t bridge, const prove::BumpPlan& plan, std::vector<capture::BumpRecord>& records);
  // The same, with the bystander's answer to what acted in the outward half; and, where `expected` is another, in the
  // half back.
  [[nodiscard]] std::vector<prove::Look> look_at(std::uint8_t bridge, const prove::BumpPlan& plan,
                                                 std::vector<capture::BumpRecord>& records,
                                                 const prove::Choice& expected);
  [[nodiscard]] capture::HandRecord work_by_hand(const std::string& input);
  [[nodiscard]] plant::Truth truth() const { return plant_.truth(); }  // for the judge alone
  // For the judge alone: how far this motor really went in a bump of its own, on average.
  [[nodiscard]] double travel(const std::string& output) const;
  // For the judge alone: the share of a bump's steady part in which this motor's circuit stood open, of its second
  // worst bump.
  [[nodiscard]] double open_share(const std::string& output) const;
  void settle(int ms, std::vector<capture::Sample>* into = nullptr);

 private:
  void step_ms();
  void note_open(const std::map<std::string, int>& closed_ms, int steady_ms);
  [[nodiscard]] capture::Sample sample();

  const robot::Robot& drawn_;
  plant::Plant plant_;
  std::vector<std::int32_t> counts_;
  std::vector<std::uint8_t> phases_;
  std::vector<std::int16_t> levels_;
  std::int64_t ms_ = 0;
  std::map<std::string, std::vector<double>> open_shares_;
  std::map<std::string, std::vector<double>> travels_;
};

// The whole first proving, as a session does it: planned pairs on every bridge, then rounds of looks until no question
// is left that the plan's pairs allow.
struct Proving {
  prove::Evidence evidence;
  prove::Identification identification;
  int looks = 0;
};
[[nodiscard]] Proving prove_all(Bench& bench, const robot::Robot& drawn, const prove::IdentifyOptions& options);

}  // namespace ringout::scenarios
