// What closed cases teach: counts of faults found and of answers given, on top of the starting belief.
//
// A prior p of strength n stands for n cases seen before of which p·n showed the fault; c in N closed cases make it
//   (p·n + c) / (n + N)            (beta; for exactly one fault the same over all of them, Dirichlet)
// and the chances of an observation's outcomes, given what was wrong, likewise with the answers that closed cases gave.
// An answer counts for a mode where it was the only one present that the observation sees, for "nothing wrong" where it
// sees none; otherwise it cannot be attributed and is left out. A part is found to have at most one fault a case: where
// a history counts more, they share the cases. The history holds counts alone, no belief, so that the
// histories of two teams merge by adding. Source: conjugate updating, any textbook of Bayesian statistics.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "base/diagnostic.h"
#include "find/posterior.h"

namespace ringout::find {

struct ClosedCase {
  FaultSet found;  // what was wrong; empty: nothing
  std::vector<Answer> answers;
};

struct History {
  double cases = 0;
  std::map<std::string, double> faults;  // full name of the mode -> cases that found it
  // check -> full name of the mode ("" for nothing wrong) -> outcome's name -> answers
  std::map<std::string, std::map<std::string, std::map<std::string, double>>> answers;
};

// How many cases the starting belief is worth.
struct Strength {
  double priors = 20;
  double answers = 20;
};

void record(History& history, const Model& model, const ClosedCase& closed);
void merge(History& into, const History& other);
// The model with its starting belief updated. Names that the model lacks are passed over (another robot's history).
[[nodiscard]] Model learned(const Model& model, const History& history, const Strength& strength = {});

// Text: one count a line, fields parted by tabs, sorted, so that it can be read, compared and kept under version
// control.
//   ringout fault history 1
//   cases<TAB>25
//   fault<TAB>3<TAB>lift wire.open
//   answer<TAB>4<TAB>meter at the port<TAB>lift wire.open<TAB>no voltage
[[nodiscard]] std::string write_history(const History& history);
// Every line that cannot be read is reported and left out; a first line that differs ends the reading.
[[nodiscard]] History read_history(const SourceText& text, Diagnostics& found);

}  // namespace ringout::find
