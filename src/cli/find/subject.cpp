#include "cli/find/subject.h"

#include <fmt/format.h>

#include <cmath>

#include "cli/find/text.h"

namespace ringout::cli {
namespace {

std::string repairs_of(const find::Model& model, find::Index mode) {
  std::string out;
  for (const find::Repair& r : model.repairs) {
    for (const find::Mend& m : r.mends) {
      if (m.mode == mode) out += (out.empty() ? "" : ", or ") + r.name;
    }
  }
  return out;
}

}  // namespace

std::vector<std::string> taught(const find::Model& before, const find::Model& after, const find::History& history) {
  std::vector<std::string> out;
  for (find::Index m = 0; m < before.modes.size(); ++m) {
    const std::string name = find::full_name(before, m);
    const auto seen = history.faults.find(name);
    if (seen == history.faults.end() || std::abs(before.modes[m].prior - after.modes[m].prior) < 1e-12) continue;
    out.push_back(fmt::format("{}: {} at the start, {} now, found in {:g} of {:g} cases", name,
                              chance_text(before.modes[m].prior), chance_text(after.modes[m].prior), seen->second,
                              history.cases));
  }
  return out;
}

CaseSubject subject_of(const find::Model& model) {
  CaseSubject out{model.name, {}, model, {}, {}, {}};
  for (const find::Symptom& s : model.symptoms) {
    const find::Observation& o = model.observations[s.observation];
    out.trouble.push_back(o.name + ": " + o.outcomes[s.outcome]);
  }
  for (find::Index m = 0; m < model.modes.size(); ++m) {
    out.faults.push_back(find::full_name(model, m));
    out.advice.push_back({"", repairs_of(model, m), fmt::format("it works {} times in a row", find::proof_times)});
  }
  return out;
}

}  // namespace ringout::cli
