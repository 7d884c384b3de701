// A case for programs: one object a line while it goes on, and the document that ends it (docs/schema/find.json).
#pragma once

#include <string>

#include "cli/find/subject.h"
#include "find/interview_run.h"
#include "find/optimum.h"
#include "find/policy.h"
#include "session/person.h"

namespace ringout::cli {

// {"event": "begin" | "now" | "entry" | "ask", …} and a line end.
[[nodiscard]] std::string json_begin(const CaseSubject& subject, const std::string& case_file,
                                     const std::vector<find::Entry>& entries);
[[nodiscard]] std::string json_now(const CaseSubject& subject, const find::View& view,
                                   const std::vector<find::Entry>& entries);
[[nodiscard]] std::string json_entry(const find::Model& model, const find::Entry& entry,
                                     const std::vector<find::Entry>& before);
[[nodiscard]] std::string json_ask(const find::Ask& ask);
[[nodiscard]] std::string json_question(const session::Question& question);  // of the complaint, before a case begins

struct CaseResult {
  std::string case_file;
  find::View view;
  find::Ended ended = find::Ended::quit;
  std::vector<find::Entry> entries;
};
[[nodiscard]] std::string json_case(const CaseSubject& subject, const CaseResult& result);

// A strategy on a model.
struct StrategyResult {
  std::string strategy;
  find::ExpectedCost expected;
  find::OptimumSearch::Bounds optimum;
  double left_out = 0.0;  // of the prior
  find::TreeText tree;
  int cut_short = 0;  // steps of the tree that were chosen before all was compared, for lack of time
};
[[nodiscard]] std::string json_strategy(const CaseSubject& subject, const StrategyResult& result);
[[nodiscard]] std::string json_history(const find::History& history, const find::Strength& strength,
                                       const std::string& file);

}  // namespace ringout::cli
