#include "cli/json_desk.h"
#include "cli/json_desk_parts.h"

namespace ringout::cli {
namespace {

Json step_json(const cold::Judgement& j, const cold::Readings& readings) {
  Json values = Json::array();
  const auto found = readings.find(j.step->id);
  if (found != readings.end()) {
    for (const double v : found->second.values) values.push_back(finite(v));
  }
  return {{"id", j.step->id},           {"unit", j.step->kind == cold::StepKind::first_power ? "A" : "ohm"},
          {"subject", j.step->subject}, {"prepare", j.step->prepare},
          {"red", j.step->red},         {"black", j.step->black},
          {"place", j.step->place},     {"from", j.step->from},
          {"range", j.step->range},     {"readings_wanted", j.step->readings},
          {"low", finite(j.step->low)}, {"high", finite(j.step->high)},
          {"readings", values},         {"verdict", cold::name_of(j.verdict)},
          {"other", j.other},           {"explanation", j.explanation}};
}

}  // namespace

std::string json_cold(const cold::Sheet& sheet, const std::vector<cold::Judgement>& judgements,
                      const cold::Readings& readings) {
  Json steps = Json::array();
  std::size_t unread = 0;
  std::size_t faults = 0;
  for (const auto& j : judgements) {
    steps.push_back(step_json(j, readings));
    unread += j.verdict == cold::Verdict::not_read ? 1 : 0;
    faults += cold::is_fault(j.verdict) ? 1 : 0;
  }
  const Json json{{"cautions", sheet.cautions},
                  {"power_cautions", sheet.power_cautions},
                  {"assumptions", sheet.assumptions},
                  {"steps", steps},
                  {"not_read", unread},
                  {"faults", faults}};
  return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace ringout::cli
