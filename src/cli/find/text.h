// How a case reads at a terminal of 80 columns: short, one thing at a time.
#pragma once

#include <string>

#include "cli/find/subject.h"
#include "cli/terminal.h"
#include "find/interview_run.h"

namespace ringout::cli {

[[nodiscard]] std::string chance_text(double chance);    // "72 %", "0.4 %", "< 0.1 %", "100 %" only where it is certain
[[nodiscard]] std::string minutes_text(double minutes);  // "20 s", "3 min", "2 h"

// What is about to begin: the trouble, what is left out of the model.
[[nodiscard]] std::string opening_text(const CaseSubject& subject);
// Suspects with their chances, and what no list holds.
[[nodiscard]] std::string suspects_text(const CaseSubject& subject, const find::View& view, Colour colour);
// Answers that hardly agree, the one to doubt first; empty where they do.
[[nodiscard]] std::string doubts_text(const find::Model& model, const find::View& view,
                                      const std::vector<find::Entry>& entries, Colour colour);
// One line for what the bench is about to do, and one for what came of it, which stands behind the entries `before`.
[[nodiscard]] std::string bench_text(const find::Model& model, find::Index observation);
[[nodiscard]] std::string entry_text(const find::Model& model, const find::Entry& entry,
                                     const std::vector<find::Entry>& before);
// The same of an entry that was kept before, where nothing says of which check it is.
[[nodiscard]] std::string kept_text(const find::Model& model, const find::Entry& entry);
// What came of the bench's own tries after a repair; nothing: the person is to try.
[[nodiscard]] std::string tried_text(const std::optional<find::Proof::Result>& tried);
// The head of a question: what to do, how long it takes, what to beware of.
[[nodiscard]] std::string ask_text(const find::Ask& ask, Colour colour);
// What a choice of a check would mean: "62 %, then the fuse is blown 80 %".
[[nodiscard]] std::string reading_text(const CaseSubject& subject, const find::Reading& reading);
// "the fuse F2 is blown, and the clamp's wire is open".
[[nodiscard]] std::string faults_text(const CaseSubject& subject, const find::FaultSet& faults);
[[nodiscard]] std::string why_text(const CaseSubject& subject, const find::View& view);
[[nodiscard]] std::string diagnosis_text(const CaseSubject& subject, const find::View& view,
                                         const std::vector<find::Entry>& entries, Colour colour);

}  // namespace ringout::cli
