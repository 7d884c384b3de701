// What is complained of: written on the command line, kept in a case, or asked in plain words.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "find/case_file.h"
#include "find/robot/complaint.h"
#include "robot/robot.h"
#include "session/person.h"

namespace ringout::cli {

// "clamp=nothing", "clamp=another_acts:mist_pump", "robot=nothing answers". Error: find.trouble, with what could be
// written.
[[nodiscard]] Result<faults::Complaint> written_complaint(const robot::Robot& robot,
                                                          const std::vector<std::string>& written);
[[nodiscard]] Result<faults::Complaint> kept_complaint(const robot::Robot& robot, const find::CaseHead& head);
// Asks which points and what they do: trouble.point, trouble.symptom, trouble.other, trouble.more (docs/answers.md).
// What was said can be taken back. `asked` is told of each question before it is put; empty: nobody. Error: find.quit
// where the person wants no case.
using BeforeAsking = std::function<void(const session::Question&)>;
[[nodiscard]] Result<faults::Complaint> asked_complaint(const robot::Robot& robot, session::Person& person,
                                                        const BeforeAsking& asked = {});

[[nodiscard]] std::vector<std::vector<std::string>> symptom_lines(const faults::Complaint& complaint);
[[nodiscard]] std::string trouble_text(const faults::Trouble& trouble);  // "clamp does nothing"

}  // namespace ringout::cli
