#include "find/robot/robot_model.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/check.h"
#include "find/robot/derivation.h"
#include "find/robot/sight.h"

namespace ringout::faults {

namespace {

// Spread over all outcomes of each check, so that no state is ever ruled out by one answer alone.
constexpr double anything = 1e-4;

// The outcomes that say it; what a check cannot tell apart looks as it should.
std::vector<std::size_t> outcomes_for(const CheckOrigin& origin, const Likely& l) {
  if (l.where != anywhere) return {origin.outcome(l.shown, l.where).value_or(0)};
  std::vector<std::size_t> all;
  for (std::size_t i = 0; i < origin.outcomes.size(); ++i) {
    if (origin.outcomes[i] == l.shown) all.push_back(i);
  }
  return all.empty() ? std::vector<std::size_t>{0} : all;
}

std::vector<double> distribution(const CheckOrigin& origin, const Shows& shows, double overlooked) {
  const std::size_t n = origin.outcomes.size();
  std::vector<double> out(n, anything / static_cast<double>(n));
  double sum = 0;
  for (const Likely& l : shows) sum += l.weight;
  const double told = (1 - anything) * (1 - overlooked);
  for (const Likely& l : shows) {
    const std::vector<std::size_t> all = outcomes_for(origin, l);
    for (const std::size_t at : all) out[at] += told * l.weight / sum / static_cast<double>(all.size());
  }
  out[0] += (1 - anything) * overlooked;
  return out;
}

// Nothing wrong that this check sees. That the controller falls silent or has another table is no false alarm.
std::vector<double> healthy(const CheckOrigin& origin, double false_alarm) {
  Shows shows{{Shown::as_should, 1 - false_alarm}};
  std::vector<Shown> alarms;
  for (std::size_t i = 1; i < origin.outcomes.size(); ++i) {
    const Shown s = origin.outcomes[i];
    if (s != Shown::refused && s != Shown::no_link && origin.where[i].empty()) alarms.push_back(s);
  }
  for (const Shown s : alarms) shows.push_back({s, false_alarm / static_cast<double>(alarms.size()), anywhere});
  return distribution(origin, shows, 0.0);
}

bool shows_something(const CheckOrigin& origin, const Shows& shows) {
  return std::any_of(shows.begin(), shows.end(), [&](const Likely& l) {
    const auto at = std::find(origin.outcomes.begin(), origin.outcomes.end(), l.shown);
    return at != origin.outcomes.end() && at != origin.outcomes.begin() && l.weight > 0;
  });
}

std::string title_of(const Complaint& complaint) {
  std::string out;
  for (const Trouble& t : complaint.troubles) {
    if (!out.empty()) out += "; ";
    out += t.point.empty() ? std::string(words_of(t.symptom)) : fmt::format("{} {}", t.point, words_of(t.symptom));
  }
  return out;
}

}  // namespace

Derivation::Reached Derivation::reach(const robot::Access& access) {
  const double minutes = access.effort.si / 60;
  if (access.place.empty() || minutes <= 0) return {std::nullopt, minutes};
  const auto at = places.find(access.place);
  find::Model& model = out.model;
  if (at != places.end()) {
    find::Place& place = model.places[at->second];
    place.open_cost = std::max(place.open_cost, minutes / 2);
    place.close_cost = place.open_cost;
    return {at->second, 0.0};
  }
  if (model.places.size() >= find::max_places) return {std::nullopt, minutes};
  const auto index = static_cast<find::Index>(model.places.size());
  find::Place place;
  place.name = access.place;
  // The robot file states opening and closing together.
  place.open_cost = place.close_cost = minutes / 2;
  model.places.push_back(place);
  places.emplace(access.place, index);
  return {index, 0.0};
}

std::vector<std::string> exchange_partners(const Derivation& d, const std::string& point) {
  std::vector<std::string> out;
  for (const FaultOrigin& f : d.out.faults) {
    if (f.mode == Mode::exchanged && (f.point == point || f.other == point))
      out.push_back(f.point == point ? f.other : f.point);
  }
  return out;
}

Shows healthy_neighbour(const std::vector<Shown>& outcomes) {
  Shows out{{Shown::as_should, 0.96}};
  for (const Shown s : outcomes) {
    if (s == Shown::nothing || s == Shown::silent || s == Shown::out_of_range)
      out.push_back({s, 0.025});
    else if (s == Shown::weak || s == Shown::at_times || s == Shown::wrong_way || s == Shown::held)
      out.push_back({s, 0.003});
    else if (s != Shown::as_should)
      out.push_back({s, 0.001, anywhere});
  }
  return out;
}

std::optional<find::Index> add_check(Derivation& d, Draft draft, const std::function<Shows(const Fault&)>& shows) {
  find::Model& model = d.out.model;
  if (model.observations.size() >= find::max_observations) return std::nullopt;
  const CheckRow& row = d.rows.check(draft.origin.kind);
  double minutes = row.minutes;
  if (d.controller == Controller::none && draft.by_hand) {
    draft.origin.witness = Witness::person;
    draft.instructions = draft.by_hand->instructions;
    draft.caution = draft.by_hand->caution;
    draft.commands = draft.commands == Draft::Commands::nobody ? Draft::Commands::nobody : Draft::Commands::program;
    minutes = d.rows.check(draft.by_hand->like).minutes;
  }
  const bool over_link = needs_link(draft.origin.kind) && draft.origin.witness != Witness::person &&
                         draft.commands != Draft::Commands::program;
  if (draft.commands == Draft::Commands::bench) draft.origin.outcomes.push_back(Shown::refused);
  if (over_link) draft.origin.outcomes.push_back(Shown::no_link);
  draft.origin.where.assign(draft.origin.outcomes.size(), {});
  for (std::string& other : draft.others) {
    if (draft.origin.outcomes.size() == find::max_outcomes) break;
    draft.origin.outcomes.push_back(Shown::elsewhere);
    draft.origin.where.push_back(std::move(other));
  }
  find::Observation o;
  for (find::Index m = 0; m < d.faults.size(); ++m) {
    const Fault& fault = d.faults[m];
    const bool unheard = over_link && link_silent(d.robot, fault);
    const bool refused = draft.commands == Draft::Commands::bench && stops_the_bench(fault);
    const Shows seen = unheard ? Shows{{Shown::no_link, 1.0}} : refused ? Shows{{Shown::refused, 1.0}} : shows(fault);
    if (!shows_something(draft.origin, seen)) continue;
    o.effects.push_back({m, distribution(draft.origin, seen, row.overlooks)});
  }
  if (o.effects.empty()) return std::nullopt;
  o.name = std::move(draft.name);
  const Derivation::Reached reached = draft.access != nullptr ? d.reach(*draft.access) : Derivation::Reached{};
  o.cost = minutes + reached.extra;
  o.place = reached.place;
  for (std::size_t i = 0; i < draft.origin.outcomes.size(); ++i) {
    const std::string& where = draft.origin.where[i];
    o.outcomes.push_back(where.empty() ? std::string(words_of(draft.origin.outcomes[i])) : where + " answers instead");
  }
  o.healthy =
      draft.healthy.empty() ? healthy(draft.origin, row.false_alarm) : distribution(draft.origin, draft.healthy, 0.0);
  o.combination = draft.draws == Draft::Draws::others_too ? find::Combination::noisy : find::Combination::worst;
  o.line = line_of(draft.origin.kind);
  o.path = std::move(draft.path);
  o.instructions = std::move(draft.instructions);
  o.caution = std::move(draft.caution);
  model.observations.push_back(std::move(o));
  d.out.checks.push_back(std::move(draft.origin));
  return static_cast<find::Index>(model.observations.size() - 1);
}

std::optional<find::Index> CheckOrigin::outcome(Shown shown, std::string_view of) const {
  std::optional<find::Index> unnamed;
  for (find::Index i = 0; i < outcomes.size(); ++i) {
    if (outcomes[i] != shown) continue;
    if (where[i] == of) return i;
    if (where[i].empty()) unnamed = i;
  }
  return unnamed;
}

std::optional<find::Index> RobotModel::outcome_of(find::Index observation, Shown shown, std::string_view where) const {
  return checks[observation].outcome(shown, where);
}

std::vector<std::string> complaint_problems(const robot::Robot& robot, const Complaint& complaint) {
  std::vector<std::string> out;
  if (complaint.troubles.empty()) out.emplace_back("nothing is complained of");
  std::vector<std::string> seen;
  for (const Trouble& t : complaint.troubles) {
    if (std::find(seen.begin(), seen.end(), t.point) != seen.end())
      out.push_back(fmt::format("'{}' is named twice: one symptom for each point", t.point));
    seen.push_back(t.point);
    if (!t.other.empty() && (t.other == t.point || robot.output(t.other) == nullptr))
      out.push_back(fmt::format("'{}' is no other output that could act instead of '{}'", t.other, t.point));
    if (!t.other.empty() && t.symptom != Symptom::another_acts)
      out.push_back(fmt::format("'{}' stands behind '{}', but only another_acts takes a second output", t.other,
                                words_of(t.symptom)));
    std::vector<Symptom> can = symptoms_of_the_robot();
    if (!t.point.empty()) {
      const robot::Output* output = robot.output(t.point);
      const robot::Input* input = robot.input(t.point);
      if (output == nullptr && input == nullptr) {
        out.push_back(fmt::format("the robot file has no point '{}'", t.point));
        continue;
      }
      can = symptoms_of(output != nullptr ? output->kind : input->kind);
    }
    if (std::find(can.begin(), can.end(), t.symptom) == can.end())
      out.push_back(fmt::format("'{}' cannot be said of {}", words_of(t.symptom),
                                t.point.empty() ? std::string("the whole robot") : "'" + t.point + "'"));
  }
  return out;
}

RobotModel robot_model(const robot::Robot& robot, const FaultRows& rows, const Complaint& complaint,
                       Controller controller) {
  RINGOUT_CHECK(complaint_problems(robot, complaint).empty());
  Derivation d{robot, rows, complaint, {}, {}, {}, {}, false, {}, controller};
  for (const Trouble& t : complaint.troubles) {
    if (t.point.empty()) {
      d.whole_robot = true;
    } else if (d.outputs.size() + d.inputs.size() >= most_points) {
      d.out.notes.push_back(fmt::format("'{}' is left out: {} points are looked at together", t.point, most_points));
    } else if (const robot::Output* o = robot.output(t.point)) {
      d.outputs.push_back(o);
    } else {
      d.inputs.push_back(robot.input(t.point));
    }
  }
  find::Model& model = d.out.model;
  model.name = title_of(complaint);
  model.faults = find::Faults::independent;
  model.max_faults = 2;
  model.call_cost = rows.call_minutes;
  model.check_cost = rows.retry_minutes;
  add_parts(d);
  add_complaint(d);
  add_bench_checks(d);
  add_supply_checks(d);
  add_output_checks(d);
  add_input_checks(d);
  add_repairs(d);
  return std::move(d.out);
}

}  // namespace ringout::faults
