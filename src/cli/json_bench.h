// Results of the commands that talk to a controller, as JSON (docs/schema).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "prove/agreement.h"
#include "session/session.h"

namespace ringout::cli {

[[nodiscard]] std::string json_ready(const session::Readiness& readiness);
[[nodiscard]] std::string json_load(const session::Loading& loading);
[[nodiscard]] std::string json_jog(const std::string& output, double percent, const session::Jog& jog);

struct ProveResult {
  prove::Agreement agreement;
  std::vector<prove::Finding> findings;
  std::vector<prove::Correction> corrections;
  std::optional<prove::SupplyFinding> supply;  // empty where nothing was bumped
  std::string person;
  std::string found_file;  // empty: not written
  std::string capture;
  bool whole = true;  // the proving went to its end
};
[[nodiscard]] std::string json_prove(const ProveResult& result);
[[nodiscard]] std::string json_run(const session::ProgramRun& run);

// One reading as one line of the stream, and what stands in the document that ends it.
[[nodiscard]] std::string json_meters_line(double seconds, const session::Meters& meters);
[[nodiscard]] std::string json_meters_end(std::size_t readings);
// At once, where it is served; and the document at its end.
[[nodiscard]] std::string json_twin_line(const std::string& path);
[[nodiscard]] std::string json_twin(const std::string& path);

}  // namespace ringout::cli
