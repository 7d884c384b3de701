#include "cli/json_bench.h"

#include <nlohmann/json.hpp>

#include "cli/json_paper.h"
#include "link/words.h"

namespace ringout::cli {
namespace {

using Json = nlohmann::ordered_json;

std::string text_of(const Json& json) {
  return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

template <class Value>
Json or_null(const std::optional<Value>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json row_json(const prove::AgreementRow& row) {
  return {{"point", row.point},
          {"kind", robot::name_of(row.kind)},
          {"drawn", row.drawn},
          {"coded", row.coded},
          {"found", row.found},
          {"verdict", prove::name_of(row.verdict)},
          {"confidence", row.confidence},
          {"settled_by", row.settled_by ? Json(robot::name_of(*row.settled_by)) : Json(nullptr)},
          {"person", row.person},
          {"what_to_do", row.what_to_do},
          {"evidence", row.evidence}};
}

Json finding_json(const prove::Finding& f) {
  return {{"point", f.point},
          {"drawn_port", f.drawn_port},
          {"found_port", or_null(f.found_port)},
          {"sign", prove::name_of(f.sign)},
          {"condition", prove::name_of(f.condition)},
          {"strength", f.strength},
          {"confidence", f.confidence},
          {"person_looked", f.person_looked},
          {"evidence", f.evidence}};
}

Json supply_json(const std::optional<prove::SupplyFinding>& supply) {
  if (!supply) return nullptr;
  return {{"rest_v", supply->rest_volts},
          {"under_load_v", supply->loaded_volts},
          {"lowest_v", supply->lowest_volts},
          {"source_ohms", supply->source_ohms},
          {"source_ohms_error", supply->source_ohms_error},
          {"drawn_ohms", supply->drawn_ohms},
          {"weak", supply->weak},
          {"evidence", supply->evidence}};
}

}  // namespace

std::string json_ready(const session::Readiness& readiness) {
  Json steps = Json::array();
  for (const auto& step : readiness.steps) {
    steps.push_back({{"id", step.id},
                     {"title", step.title},
                     {"verdict", session::name_of(step.verdict)},
                     {"reading", step.reading},
                     {"limit", step.limit},
                     {"remedy", step.remedy}});
  }
  return text_of(Json{{"go", readiness.go()}, {"steps", steps}});
}

std::string json_load(const session::Loading& loading) {
  return text_of(Json{{"bytes", loading.bytes},
                      {"table_fingerprint", hexadecimal(loading.fingerprint)},
                      {"took_s", loading.took.in_seconds()}});
}

std::string json_jog(const std::string& output, double percent, const session::Jog& jog) {
  return text_of(Json{{"output", output},
                      {"percent", percent},
                      {"driven_s", jog.driven.in_seconds()},
                      {"allowed_s", jog.at_most.in_seconds()},
                      {"proved", jog.proved},
                      {"ended_by", jog.ended_by},
                      {"watched", jog.watched},
                      {"changed", jog.changed}});
}

std::string json_prove(const ProveResult& result) {
  Json rows = Json::array();
  for (const auto& row : result.agreement.rows) rows.push_back(row_json(row));
  Json findings = Json::array();
  for (const auto& finding : result.findings) findings.push_back(finding_json(finding));
  Json corrections = Json::array();
  for (const auto& c : result.corrections) {
    corrections.push_back(
        {{"point", c.point}, {"key", c.key}, {"value", c.value}, {"line", c.line}, {"instead", c.instead}});
  }
  return text_of(Json{{"ready", result.whole && result.agreement.ready()},
                      {"person", result.person},
                      {"agreement", rows},
                      {"findings", findings},
                      {"corrections", corrections},
                      {"supply", supply_json(result.supply)},
                      {"found_file", result.found_file},
                      {"capture", result.capture}});
}

std::string json_run(const session::ProgramRun& run) {
  return text_of(Json{{"state", link::name_of(run.state)},
                      {"last_line", run.last_line},
                      {"last_step", run.last_step},
                      {"ended_by", run.ended_by},
                      {"took_s", run.took.in_seconds()},
                      {"unused_stack_bytes", or_null(run.unused_stack)}});
}

std::string json_meters_line(double seconds, const session::Meters& meters) {
  Json points = Json::array();
  for (const auto& r : meters.points) {
    points.push_back({{"point", r.point},
                      {"commanded", or_null(r.commanded)},
                      {"expected", or_null(r.expected)},
                      {"measured", or_null(r.measured)},
                      {"unit", r.unit}});
  }
  const Json reading{{"time_s", seconds},
                     {"supply_v", meters.supply.in(volts(1))},
                     {"program", meters.waiting_line},
                     {"differs", meters.differs},
                     {"points", points}};
  return reading.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string json_meters_end(std::size_t readings) {
  return text_of(Json{{"readings", readings}});
}

std::string json_twin_line(const std::string& path) {
  return Json{{"path", path}}.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string json_twin(const std::string& path) {
  return text_of(Json{{"path", path}});
}

}  // namespace ringout::cli
