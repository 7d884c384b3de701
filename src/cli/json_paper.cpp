#include "cli/json_paper.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "cli/version.h"

namespace ringout::cli {
namespace {

using Json = nlohmann::ordered_json;

// Text of a person may hold bytes that are no UTF-8: they are shown as the replacement letter.
std::string text_of(const Json& json, Layout layout = Layout::indented) {
  return json.dump(layout == Layout::indented ? 2 : -1, ' ', false, Json::error_handler_t::replace);
}

const char* name_of(ErrorKind kind) {
  switch (kind) {
    case ErrorKind::bad_input:
      return "bad_input";
    case ErrorKind::unreachable:
      return "unreachable";
    case ErrorKind::refused:
      return "refused";
    case ErrorKind::stopped:
      return "stopped";
    case ErrorKind::interrupted:
      return "interrupted";
  }
  return "";
}

}  // namespace

std::string hexadecimal(std::uint32_t fingerprint) {
  return fmt::format("{:08X}", fingerprint);
}

std::string json_document(const std::string& command, const Outcome& outcome) {
  Json document;
  document["command"] = command;
  document["version"] = version;
  document["exit_status"] = static_cast<int>(outcome.status);
  document["error"] = nullptr;
  if (outcome.error) {
    document["error"] = {{"kind", name_of(outcome.error->kind)},
                         {"id", outcome.error->id},
                         {"message", outcome.error->message},
                         {"hint", outcome.error->hint}};
  }
  document["result"] = outcome.result.empty() ? Json(nullptr) : Json::parse(outcome.result);
  return text_of(document, outcome.layout) + "\n";
}

std::string json_new(const std::string& file) {
  return text_of(Json{{"file", file}});
}

std::string json_check(const Diagnostics& found, const prove::BumpPlan* plan, const std::string& desk,
                       const std::vector<std::string>& plots) {
  Json list = Json::array();
  for (const Diagnostic& d : found.all()) {
    list.push_back({{"severity", ringout::name_of(d.severity)},
                    {"id", d.id},
                    {"message", d.message},
                    {"hint", d.hint},
                    {"file", d.file},
                    {"line", d.span.line},
                    {"column", d.span.column},
                    {"length", d.span.length},
                    {"owner", d.owner}});
  }
  Json result{{"findings", list}, {"bumps", nullptr}};
  if (plan != nullptr) {
    Json reaches = Json::array();
    for (const auto& reach : plan->reaches) {
      reaches.push_back({{"output", reach.output}, {"clearance", reach.clearance}, {"worst", reach.worst}});
    }
    result["bumps"] = {{"level_permille", plan->level_permille},
                       {"duration_ms", plan->duration_ms},
                       {"reaches", reaches},
                       {"conflicts", plan->conflicts}};
  }
  result["desk"] = Json::parse(desk);
  result["plots"] = plots;
  return text_of(result);
}

std::string json_export(const Netlist& netlist, const std::string& file) {
  const auto named = [](const std::string& name) { return name.empty() ? Json(nullptr) : Json(name); };
  return text_of(Json{
      {"case", named(netlist.load_case)}, {"start", named(netlist.start)}, {"file", file}, {"netlist", netlist.text}});
}

std::string json_bind(const BindResult& result) {
  return text_of(Json{{"files", result.files},
                      {"points", result.points},
                      {"program_fingerprint", hexadecimal(result.program_fingerprint)},
                      {"table_fingerprint", hexadecimal(result.table_fingerprint)}});
}

std::string json_build(const BuildResult& result) {
  Json json{
      {"target", result.target}, {"product", result.product}, {"flash_bytes", nullptr}, {"static_bytes", nullptr}};
  if (result.flash_bytes > 0) {
    json["flash_bytes"] = result.flash_bytes;
    json["static_bytes"] = result.static_bytes;
  }
  return text_of(json);
}

std::string json_draw(const std::vector<std::string>& sheets, const std::string& schedule) {
  return text_of(Json{{"sheets", sheets}, {"schedule", schedule}});
}

std::string json_links(const std::vector<ReachableLink>& links) {
  Json list = Json::array();
  for (const auto& link : links) {
    list.push_back({{"on", link.on}, {"description", link.description}, {"problem", link.problem}});
  }
  return text_of(Json{{"links", list}});
}

}  // namespace ringout::cli
