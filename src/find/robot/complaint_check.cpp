// The complaint itself as observations, already made: what each fault would be complained of.
#include <fmt/format.h>

#include <algorithm>

#include "find/robot/cautions.h"
#include "find/robot/derivation.h"
#include "find/robot/sight.h"

namespace ringout::faults {

namespace {

Shown shown_of(Symptom symptom) {
  switch (symptom) {
    case Symptom::nothing:
      return Shown::nothing;
    case Symptom::wrong_way:
      return Shown::wrong_way;
    case Symptom::another_acts:
      return Shown::elsewhere;
    case Symptom::weak:
      return Shown::weak;
    case Symptom::stops:
      return Shown::at_times;
    case Symptom::unasked:
      return Shown::unasked;
    case Symptom::unchanging:
    case Symptom::nothing_answers:
      return Shown::silent;
    case Symptom::reads_wrong:
      return Shown::out_of_range;
  }
  return Shown::nothing;
}

}  // namespace

void add_complaint(Derivation& d) {
  for (const Trouble& t : d.complaint.troubles) {
    const robot::Output* output = t.point.empty() ? nullptr : d.robot.output(t.point);
    const robot::Input* input = t.point.empty() ? nullptr : d.robot.input(t.point);
    Draft draft = draft_of(CheckKind::complaint, Draft::Commands::nobody, t.point,
                           output != nullptr  ? sight_outcomes(output->kind)
                           : input != nullptr ? reading_outcomes()
                                              : std::vector<Shown>{Shown::as_should, Shown::silent},
                           t.point.empty() ? "what the robot does" : fmt::format("what {} does", t.point));
    draft.instructions = "As it was complained of. After a repair that has not settled it: what does it do now?";
    draft.caution = caution::moves;
    if (!t.other.empty()) draft.others = exchange_partners(d, t.point);
    const bool modelled = t.point.empty() || std::find(d.outputs.begin(), d.outputs.end(), output) != d.outputs.end() ||
                          std::find(d.inputs.begin(), d.inputs.end(), input) != d.inputs.end();
    if (!modelled) {
      draft.healthy = healthy_neighbour(draft.origin.outcomes);
      draft.draws = Draft::Draws::others_too;
    }
    const auto index = add_check(d, draft, [&](const Fault& f) -> Shows {
      if (output != nullptr) return operated(d.robot, f, *output);
      if (input != nullptr) return read(d.robot, f, *input);
      if (link_silent(d.robot, f)) return {{Shown::silent, 1.0}};
      if (f.kind == PartKind::firmware) return {{Shown::silent, 0.5}, {Shown::as_should, 0.5}};
      return {};
    });
    if (!index) continue;
    d.out.model.symptoms.push_back({*index, *d.out.outcome_of(*index, shown_of(t.symptom), t.other)});
  }
}

}  // namespace ringout::faults
