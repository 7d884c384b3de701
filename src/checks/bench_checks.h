// The checks of a robot's fault model that the bench makes through one session, alone or together with the person. What
// moves moves by the session's bumps alone: cautions, disconnect, room and permission are asked for by it, once.
#pragma once

#include <map>
#include <set>
#include <string>
#include <vector>

#include "checks/shown.h"
#include "find/interview_run.h"
#include "find/robot/robot_model.h"
#include "session/session.h"

namespace ringout::checks {

class BenchChecks {
 public:
  struct Setup {
    session::Session& session;
    const robot::Robot& robot;
    const faults::RobotModel& model;
    const faults::Complaint& complaint;
    std::vector<prove::Finding> known = {};  // of earlier provings, as far as they still hold
  };
  explicit BenchChecks(Setup setup) : setup_(std::move(setup)) {}

  [[nodiscard]] bool makes(find::Index observation) const;
  // Those that read and move nothing: seconds all together, so that they come before anything else.
  [[nodiscard]] std::vector<find::Index> at_start() const;
  // The person takes part: she is asked whether she is ready.
  [[nodiscard]] bool together(find::Index observation) const;
  // Those that need a bump which is not allowed any more in this session, and has not been read before either; and
  // those that would drive what drew far too much when it was bumped last.
  [[nodiscard]] std::vector<find::Index> out_of_reach() const;
  // Errors: of the person (missing answers, interrupted) and of files. A link that is gone, a motion that is refused
  // and a bump that was stopped are observations, or left to the person.
  [[nodiscard]] Result<find::Observed> observe(find::Index observation);
  // Bumps what is complained of, as often as the session's budget allows; a bump that does not answer as it should says
  // that it failed, and a good one that the person is to try the rest.
  [[nodiscard]] Result<std::optional<find::Proof::Result>> prove(int times);
  // Something was mended, or may have been: what was read before tells nothing of the robot of now.
  void forget();

 private:
  [[nodiscard]] const faults::CheckOrigin& origin(find::Index observation) const {
    return setup_.model.checks[observation];
  }
  [[nodiscard]] Result<Reading> read(const faults::CheckOrigin& check);
  [[nodiscard]] Result<find::Observed> program_at(const std::string& output);
  [[nodiscard]] Result<Reading> by_ready(const char* step, faults::Shown bad);
  [[nodiscard]] Result<void> bump(const std::string& output);
  [[nodiscard]] Result<const std::vector<capture::BumpRecord>*> bumps_for(const faults::CheckOrigin& check,
                                                                          const std::string& output);
  [[nodiscard]] bool last_bump_serves(const faults::CheckOrigin& check, const std::string& output) const;
  [[nodiscard]] bool has_its_bump(const faults::CheckOrigin& check) const;
  [[nodiscard]] bool may_load(const std::string& output) const;
  // What the last bump of the output says against driving it again, until something was mended.
  enum class Overload { none, held, shorted };
  [[nodiscard]] Overload overload_of(const std::string& output, const std::vector<capture::BumpRecord>& records) const;
  [[nodiscard]] Overload overload(const std::string& output) const;
  [[nodiscard]] bool drives_an_overload(const faults::CheckOrigin& check) const;
  [[nodiscard]] Result<Reading> under_load(const faults::CheckOrigin& check);
  [[nodiscard]] find::Observed without(const Error& error, const faults::CheckOrigin& check) const;

  struct Bumped {
    std::vector<capture::BumpRecord> records;
    std::set<std::pair<faults::CheckKind, std::string>> read_by;  // kind and point of the checks that had them
    Overload overload = Overload::none;
  };
  Setup setup_;
  std::optional<session::Readiness> readiness_;  // of just now: nothing but readings since
  bool heard_ = false;                           // the controller has answered
  bool silent_ = false;                          // it was asked for, and did not
  std::map<std::string, Bumped> bumped_;         // last bumps of each output
};

}  // namespace ringout::checks
