// What a case is about, ready for the interview: the model, and how a person speaks of what stands in it.
#pragma once

#include <string>
#include <vector>

#include "find/interview.h"
#include "find/learning.h"
#include "find/model.h"

namespace ringout::cli {

// What settles one fault.
struct Advice {
  std::string settled_by;  // the discipline, with the person's name where it is known; empty: whoever may
  std::string change;      // in robot file, wiring, mechanics or program
  std::string proof;       // what closes the case
};

struct CaseSubject {
  std::string about;                 // the robot's or the model's name
  std::vector<std::string> trouble;  // "clamp does nothing", one each
  find::Model model;                 // with what the team's history has taught
  std::vector<std::string> faults;   // by mode, in words
  std::vector<Advice> advice;        // by mode
  std::vector<std::string> notes;    // what is left out
};

// What a history changes in a model, for a person: "lift wire.open: 1 % at the start, 9 % with 3 of 25 cases".
[[nodiscard]] std::vector<std::string> taught(const find::Model& before, const find::Model& after,
                                              const find::History& history);

// A model by itself: faults under their names, repairs as advice.
[[nodiscard]] CaseSubject subject_of(const find::Model& model);

}  // namespace ringout::cli
