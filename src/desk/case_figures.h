// A load case solved and read off: every voltage, current, margin and trip time of a CaseReport.
#pragma once

#include "desk/load_cases.h"
#include "desk/network.h"

namespace ringout::desk {

// How much is read off a solution: shares are the currents of outputs, wires, protections and banks, with the multiples
// and limits that they are judged by, and the supply's voltages.
enum class Detail { all, shares };

// A robot's network ready for case after case; the robot must outlive it.
class CaseSolver {
 public:
  explicit CaseSolver(const robot::Robot& robot);

  [[nodiscard]] const Layout& layout() const { return layout_; }
  [[nodiscard]] CaseReport report(const PlannedCase& planned);
  // The same case with other numbers, Detail::shares alone, into its report. `near`: the nodes of a solution of nearly
  // the same case, from which this one is found in fewer steps.
  void shares(const PlannedCase& planned, const std::vector<Voltage>& near, CaseReport& report);
  // Just the network; what it found stays valid until the next call. `near`: as above.
  [[nodiscard]] Result<const Solution*> solve(const CaseSetting& setting, const std::vector<Voltage>* near = nullptr);
  [[nodiscard]] const Circuit& circuit() const { return circuit_; }

 private:
  const robot::Robot& robot_;
  Layout layout_;
  Circuit circuit_;
  std::optional<Network> network_;
  Solution solution_;
};

// The rest of a CaseReport from the solved network.
void read_off(const robot::Robot& robot, const Layout& layout, const CaseSetting& setting, const Circuit& circuit,
              const Solution& solution, Detail detail, CaseReport& report);

// Which of these opens first: the one whose latest is least; if none must open, the one whose earliest is.
[[nodiscard]] std::optional<std::size_t> first_to_open(const std::vector<ProtectionFigures>& protections);

}  // namespace ringout::desk
