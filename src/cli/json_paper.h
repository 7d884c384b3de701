// The envelope of every --json document, and the results of the commands that need no controller (docs/schema).
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/diagnostic.h"
#include "cli/outcome.h"
#include "prove/bump_plan.h"

namespace ringout::cli {

// {command, version, exit_status, error, result} and a line end.
[[nodiscard]] std::string json_document(const std::string& command, const Outcome& outcome);

[[nodiscard]] std::string json_new(const std::string& file);
[[nodiscard]] std::string json_check(const Diagnostics& found, const prove::BumpPlan* plan, const std::string& desk,
                                     const std::vector<std::string>& plots);  // desk: JSON text, json_desk.h

// What `export netlist` writes: of one of the two.
struct Netlist {
  std::string load_case;
  std::string start;  // the output whose motor starts
  std::string text;
};
[[nodiscard]] std::string json_export(const Netlist& netlist, const std::string& file);

struct BindResult {
  std::vector<std::string> files;
  std::uint32_t program_fingerprint = 0;
  std::uint32_t table_fingerprint = 0;
  std::size_t points = 0;
};
[[nodiscard]] std::string json_bind(const BindResult& result);

struct BuildResult {
  std::string target;
  std::string product;
  std::uint32_t flash_bytes = 0;
  std::uint32_t static_bytes = 0;
};
[[nodiscard]] std::string json_build(const BuildResult& result);
[[nodiscard]] std::string json_draw(const std::vector<std::string>& sheets, const std::string& schedule);

struct ReachableLink {
  std::string on;  // what to write after --on
  std::string description;
  std::string problem;  // why it cannot be opened; empty: nothing known
};
[[nodiscard]] std::string json_links(const std::vector<ReachableLink>& links);

[[nodiscard]] std::string hexadecimal(std::uint32_t fingerprint);  // "0000BEEF"

}  // namespace ringout::cli
