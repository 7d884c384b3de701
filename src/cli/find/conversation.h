// One case at the command line, from its file to its file: opened or taken up, led through with whoever takes the
// person's part, and closed into the team's history.
#pragma once

#include <functional>
#include <optional>
#include <string>

#include "base/instant.h"
#include "cli/find/subject.h"
#include "cli/invocation.h"
#include "cli/outcome.h"
#include "cli/terminal.h"
#include "find/case_file.h"
#include "find/interview_run.h"
#include "session/person.h"

namespace ringout::cli {

// The kept case that --resume asks for, or nothing for a new one.
struct CaseFile {
  std::string path;
  std::optional<find::KeptCase> kept;
};
// `beside_file`: robot or model file. Errors: find.no-open-case, find.case-of-another, those of reading.
[[nodiscard]] Result<CaseFile> case_file(const FindCommand& command, const std::string& beside_file,
                                         const std::string& about);

// What of the checks the bench makes, alone or with the person; empty without one.
struct BenchSide {
  std::vector<find::Index> at_start = {};
  std::function<bool(find::Index)> makes = {};
  std::function<bool(find::Index)> together = {};
  std::function<std::vector<find::Index>()> out_of_reach = {};  // now; those of CaseSetup::left_out always are
  std::function<Result<find::Observed>(find::Index)> observe = {};
  std::function<void()> repaired = {};
  std::function<Result<std::optional<find::Proof::Result>>(int)> prove = {};
};

struct CaseSetup {
  const CaseSubject& subject;
  CaseFile file;
  std::vector<std::vector<std::string>> symptoms = {};  // for the head of a new case
  std::string history;                                  // path
  session::Person& person;
  BenchSide bench = {};
  std::vector<find::Index> left_out = {};  // checks that nobody here can make
  find::StrategyKind strategy = find::StrategyKind::best;
  find::Effort effort = {};
};

// Until it is closed or the person quits.
[[nodiscard]] Outcome hold_case(const CaseSetup& setup, const Terminal& terminal);

// A person waits for the next step so long; a script does not wait, so that it comes to the same case every time.
[[nodiscard]] std::optional<Duration> patience_of(const FindCommand& command);

// --strategy, read. Error: find.no-such-strategy.
[[nodiscard]] Result<find::StrategyKind> strategy_of(const std::string& name);

// The commands about a model and about the history (model_case.cpp, history.cpp) and about a robot (robot_case.cpp).
[[nodiscard]] Outcome find_in_robot(const FindCommand& command, const std::vector<std::string>& catalogues,
                                    const Terminal& terminal);
[[nodiscard]] Outcome find_in_model(const FindCommand& command, const Terminal& terminal);
[[nodiscard]] Outcome find_history(const FindCommand& command, const std::string& beside_file, const find::Model* model,
                                   const Terminal& terminal);

}  // namespace ringout::cli
