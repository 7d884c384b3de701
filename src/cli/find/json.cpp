#include "cli/find/json.h"

#include <nlohmann/json.hpp>

namespace ringout::cli {
namespace {

using Json = nlohmann::ordered_json;
using find::Step;

std::string text_of(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}
std::string line_of(const Json& json) {
  return text_of(json) + "\n";
}

const char* name_of(find::Status status) {
  switch (status) {
    case find::Status::open:
      return "open";
    case find::Status::contradiction:
      return "contradiction";
    case find::Status::to_prove:
      return "to_prove";
    case find::Status::to_close:
      return "to_close";
    case find::Status::closed:
      break;
  }
  return "closed";
}

const char* name_of(find::Ask::Kind kind) {
  using Kind = find::Ask::Kind;
  switch (kind) {
    case Kind::check:
      return "check";
    case Kind::ready:
      return "ready";
    case Kind::repair:
      return "repair";
    case Kind::call:
      return "call";
    case Kind::prove:
      return "prove";
    case Kind::contradiction:
      return "contradiction";
    case Kind::found:
      return "found";
    case Kind::instead:
      return "instead";
    case Kind::take_back:
      return "take_back";
    case Kind::stuck:
      break;
  }
  return "stuck";
}

Json step_json(const find::Model& model, Step step) {
  switch (step.kind) {
    case Step::Kind::observe:
      return {{"kind", "check"}, {"name", model.observations[step.index].name}};
    case Step::Kind::repair:
      return {{"kind", "repair"}, {"name", model.repairs[step.index].name}};
    case Step::Kind::call:
    case Step::Kind::stop:
      break;
  }
  return {{"kind", "call"}, {"name", "call for help"}};
}

Json suspect_json(const CaseSubject& subject, find::Index mode, double chance) {
  return {{"fault", find::full_name(subject.model, mode)}, {"text", subject.faults[mode]}, {"chance", chance}};
}

Json suspects_json(const CaseSubject& subject, const std::vector<find::Suspect>& suspects) {
  Json out = Json::array();
  for (const find::Suspect& s : suspects) out.push_back(suspect_json(subject, s.mode, s.chance));
  return out;
}

std::string outcome_of(const find::Model& model, Step step, find::Index outcome) {
  if (step.kind == Step::Kind::observe) return model.observations[step.index].outcomes[outcome];
  return step.kind == Step::Kind::call ? "help comes" : outcome == 0 ? "works" : "still wrong";
}

const char* name_of(find::Alternative::Priced priced) {
  return priced == find::Alternative::Priced::searched ? "searched" : "one_step_ahead";
}

// Absent where no way to the end is left.
Json number_or_null(std::optional<double> number) {
  return number ? Json(*number) : Json(nullptr);
}

Json next_json(const CaseSubject& subject, const find::View& view) {
  if (!view.next) return nullptr;
  Json out = step_json(subject.model, view.next->step);
  out["cost"] = view.next->alternatives.front().cost;
  out["expected"] = number_or_null(view.next->alternatives.front().expected);
  out["priced"] = name_of(view.next->alternatives.front().priced);
  out["at_least"] = number_or_null(view.next->lower);
  Json readings = Json::array();
  for (const find::Reading& r : view.readings) {
    Json rules_out = Json::array();
    for (const find::Index m : r.rules_out) rules_out.push_back(find::full_name(subject.model, m));
    readings.push_back({{"outcome", outcome_of(subject.model, view.next->step, r.outcome)},
                        {"chance", r.chance},
                        {"then", suspects_json(subject, r.then)},
                        {"rules_out", rules_out}});
  }
  out["readings"] = readings;
  Json alternatives = Json::array();
  for (const find::Alternative& a : view.next->alternatives) {
    Json one = step_json(subject.model, a.step);
    one["cost"] = a.cost;
    one["expected"] = number_or_null(a.expected);
    alternatives.push_back(one);
  }
  out["alternatives"] = alternatives;
  return out;
}

// `events`: all that was learned, in words.
Json evidence_json(const std::vector<find::Evidence>& evidence, const std::vector<std::string>& events) {
  Json out = Json::array();
  for (const find::Evidence& e : evidence) out.push_back({{"what", events[e.event]}, {"weight", e.weight}});
  return out;
}

Json diagnosis_json(const CaseSubject& subject, const find::View& view, const std::vector<find::Entry>& entries) {
  if (!view.diagnosis) return nullptr;
  const std::vector<std::string> events = find::texts_of(subject.model, entries);
  Json out = Json::array();
  std::size_t i = 0;
  for (const find::Index mode : view.diagnosis->faults) {
    const find::Conclusion& c = view.diagnosis->evidence[i++];
    Json one = suspect_json(subject, mode, view.diagnosis->chance_of(c));
    one["at_first"] = c.prior;
    one["settled_by"] = subject.advice[mode].settled_by;
    one["change"] = subject.advice[mode].change;
    one["proof"] = subject.advice[mode].proof;
    one["for_it"] = evidence_json(c.for_it, events);
    one["against_it"] = evidence_json(c.against_it, events);
    out.push_back(one);
  }
  return out;
}

template <class Choices>
Json choices_json(const Choices& choices) {
  Json out = Json::array();
  for (const auto& c : choices) out.push_back({{"id", c.id}, {"text", c.text}});
  return out;
}

}  // namespace

std::string json_begin(const CaseSubject& subject, const std::string& case_file,
                       const std::vector<find::Entry>& entries) {
  Json kept = Json::array();
  for (const find::Entry& e : entries) kept.push_back(find::text_of(subject.model, e, entries));
  return line_of({{"event", "begin"},
                  {"about", subject.about},
                  {"trouble", subject.trouble},
                  {"notes", subject.notes},
                  {"case_file", case_file},
                  {"kept", kept}});
}

std::string json_now(const CaseSubject& subject, const find::View& view, const std::vector<find::Entry>& entries) {
  Json doubtful = Json::array();
  for (const find::Doubt& d : view.conflict.doubts) doubtful.push_back(find::text_of(subject.model, entries[d.event]));
  return line_of({{"event", "now"},
                  {"status", name_of(view.status)},
                  {"suspects", suspects_json(subject, view.suspects)},
                  {"something_else", view.more_guess},
                  {"something_else_below", view.left_out},
                  {"spent", view.spent},
                  {"steps", view.made},
                  {"doubtful", doubtful},
                  {"next", next_json(subject, view)}});
}

std::string json_entry(const find::Model& model, const find::Entry& entry, const std::vector<find::Entry>& before) {
  const auto* saw = std::get_if<find::Saw>(&entry);
  const bool bench = saw != nullptr && saw->by == find::By::bench;
  return line_of(
      {{"event", "entry"}, {"by", bench ? "bench" : "person"}, {"text", find::text_of(model, entry, before)}});
}

std::string json_ask(const find::Ask& ask) {
  return line_of({{"event", "ask"},
                  {"kind", name_of(ask.kind)},
                  {"id", ask.id},
                  {"text", ask.text},
                  {"instructions", ask.instructions},
                  {"caution", ask.caution},
                  {"cost", ask.cost},
                  {"choices", choices_json(ask.choices)}});
}

std::string json_question(const session::Question& question) {
  return line_of({{"event", "ask"},
                  {"kind", "complaint"},
                  {"id", question.id},
                  {"text", question.text},
                  {"instructions", ""},
                  {"caution", ""},
                  {"cost", 0.0},
                  {"choices", choices_json(question.choices)}});
}

std::string json_case(const CaseSubject& subject, const CaseResult& result) {
  Json entries = Json::array();
  for (const find::Entry& e : result.entries) entries.push_back(find::text_of(subject.model, e, result.entries));
  return text_of({{"about", subject.about},
                  {"trouble", subject.trouble},
                  {"case_file", result.case_file},
                  {"closed", result.ended == find::Ended::closed},
                  {"status", name_of(result.view.status)},
                  {"suspects", suspects_json(subject, result.view.suspects)},
                  {"something_else", result.view.more_guess},
                  {"something_else_below", result.view.left_out},
                  {"spent", result.view.spent},
                  {"found", diagnosis_json(subject, result.view, result.entries)},
                  {"entries", entries}});
}

std::string json_strategy(const CaseSubject& subject, const StrategyResult& result) {
  return text_of({{"about", subject.about},
                  {"strategy", result.strategy},
                  {"expected_cost", result.expected.cost},
                  {"exact", result.expected.exact},
                  {"situations", result.expected.situations},
                  {"optimum_at_least", result.optimum.lower},
                  {"optimum_at_most", result.optimum.upper},
                  {"left_out", result.left_out},
                  {"tree", result.tree.text},
                  {"tree_whole", result.tree.whole},
                  {"steps_cut_short", result.cut_short}});
}

std::string json_history(const find::History& history, const find::Strength& strength, const std::string& file) {
  Json faults = Json::object();
  for (const auto& [name, count] : history.faults) faults[name] = count;
  return text_of({{"file", file},
                  {"cases", history.cases},
                  {"faults", faults},
                  {"starting_belief_counts_as_cases", strength.priors}});
}

}  // namespace ringout::cli
