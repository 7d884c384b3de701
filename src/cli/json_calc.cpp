#include <cmath>
#include <nlohmann/json.hpp>

#include "cli/calc.h"

namespace ringout::cli {
namespace {

using Json = nlohmann::ordered_json;

// Infinite: the word "infinite"; not there: null.
Json number(Measure measure, double si) {
  if (std::isnan(si)) return nullptr;
  if (std::isinf(si)) return "infinite";
  return in_json_unit(measure, si);
}

}  // namespace

std::string json_calc(const Calculation& calculation) {
  Json given = Json::array();
  for (const auto& quantity : calculation.given)
    given.push_back({{"name", quantity.name}, {"written", quantity.written}});
  Json figures = Json::array();
  for (const Figure& f : calculation.answer.figures) {
    Json figure{{"id", f.id},
                {"what", f.what},
                {"value", number(f.measure, f.value)},
                {"unit", json_unit(f.measure)},
                {"low", nullptr},
                {"high", nullptr},
                {"formula", f.formula}};
    if (f.low && f.high) {
      figure["low"] = number(f.measure, *f.low);
      figure["high"] = number(f.measure, *f.high);
    }
    figures.push_back(figure);
  }
  const Json result{{"subject", calculation.subject->name},    {"given", given},
                    {"toleranced", calculation.toleranced},    {"figures", figures},
                    {"findings", calculation.answer.findings}, {"assumptions", calculation.answer.assumptions},
                    {"sources", calculation.answer.sources}};
  return result.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace ringout::cli
