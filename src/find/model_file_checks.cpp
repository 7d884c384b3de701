#include "find/model_file_checks.h"

#include <fmt/format.h>

#include <set>

#include "find/conflict.h"
#include "robot/table_reader.h"

namespace ringout::find {

namespace {

struct NameAt {
  std::string name;
  Span at;
};

// As answers and kept cases name them: with its part, or the part alone where it has one fault without a name.
std::vector<NameAt> fault_names(const Model& model) {
  std::vector<NameAt> out;
  for (Index m = 0; m < model.modes.size(); ++m) out.push_back({full_name(model, m), model.modes[m].at});
  return out;
}

std::vector<NameAt> outcome_names(const Observation& o) {
  std::vector<NameAt> out;
  for (const std::string& outcome : o.outcomes) out.push_back({outcome, o.at});
  return out;
}

// Two of a kind with one name could not be told apart.
template <class Named>
void check_names(const std::vector<Named>& all, const char* what, const SourceText& text, Diagnostics& found) {
  std::set<std::string> seen;
  for (const Named& n : all) {
    if (n.name.empty() || n.name.find_first_of("\t\n\r") != std::string::npos)
      found.error(text, n.at, "model.name", fmt::format("each {} needs a name without tabs and line ends", what));
    else if (!seen.insert(n.name).second)
      found.error(text, n.at, "model.same-name", fmt::format("two {}s are called \"{}\"", what, robot::shown(n.name)));
  }
}

void check_symptoms(const Model& model, const SourceText& text, Diagnostics& found) {
  const std::vector<std::size_t> impossible = impossible_symptoms(model);
  for (const std::size_t i : impossible) {
    found.error(text, model.symptoms[i].at, "model.symptoms",
                impossible.size() == 1 ? "no fault of this model shows this symptom"
                                       : "no fault of this model shows these symptoms together",
                "leave one symptom out, or give a fault a chance to show what was seen");
  }
}

}  // namespace

void check_model(const Model& model, const SourceText& text, Span header, Diagnostics& found) {
  check_names(model.parts, "part", text, found);
  check_names(model.places, "place", text, found);
  check_names(model.observations, "check", text, found);
  check_names(model.repairs, "repair", text, found);
  check_names(fault_names(model), "fault", text, found);
  for (const Observation& o : model.observations) check_names(outcome_names(o), "outcome", text, found);
  if (found.has_errors()) return;
  for (const Problem& p : problems(model)) found.error(text, p.at.line > 0 ? p.at : header, p.id, p.message, p.hint);
  if (!found.has_errors()) check_symptoms(model, text, found);
}

}  // namespace ringout::find
