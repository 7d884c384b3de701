// found.json beside the robot file: what the machine answered, point by point, and what the controller carried then
// (docs/found.md). People do not write it; `prove` does.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "bind/point_table.h"
#include "prove/agreement.h"
#include "prove/finding.h"
#include "robot/robot.h"

namespace ringout::cli {

inline constexpr const char* found_file_name = "found.json";

struct KeptFinding {
  prove::Finding finding;
  std::uint32_t wiring = 0;  // wiring_fingerprint of the point when it was found
  std::string when;          // "2026-03-01"
  std::string on;            // the link
};

struct FoundFile {
  std::string robot;
  std::string identity;  // of the controller
  std::string on;        // the link it was last proved on
  std::string person;    // who answered: "at the terminal", "a file of answers", "the simulated bystander"
  std::uint32_t table_fingerprint = 0;
  std::vector<KeptFinding> points;
  std::optional<prove::Coded> coded;

  [[nodiscard]] std::vector<prove::Finding> findings() const;
};

// A simulated robot proves nothing about a real one, nor about another simulated one.
enum class SameMachine { yes, no };
[[nodiscard]] bool is_simulated(const std::string& on);
[[nodiscard]] SameMachine same_machine(const std::string& kept_on, const std::string& now_on);

// CRC-32 of all that a proof of this point rests on: kind, port, sign, device, feed, what it moves or watches. Zero for
// a name the robot does not have.
[[nodiscard]] std::uint32_t wiring_fingerprint(const robot::Robot& robot, const std::string& point);
// CRC-32 of the wiring of all points: another one is another drawing, or the same one after it was changed.
[[nodiscard]] std::uint32_t wiring_fingerprint(const robot::Robot& robot);
// Points whose wiring was changed in the robot file after they were found.
[[nodiscard]] std::vector<std::string> touched_since(const robot::Robot& robot, const FoundFile& found);
// The findings that still hold.
[[nodiscard]] std::vector<prove::Finding> still_valid(const robot::Robot& robot, const FoundFile& found);
// Drawn beside what was coded and found then.
[[nodiscard]] prove::Agreement agreement_on_paper(const robot::Robot& robot, const FoundFile& found);
// `fresh` replaces what was kept for the same points.
void merge(FoundFile& kept, const robot::Robot& robot, const std::vector<prove::Finding>& fresh,
           const std::string& when, const std::string& on);

// Errors: cli.found-unreadable (not this format, or damaged), and those of reading a file.
[[nodiscard]] Result<FoundFile> read_found_file(const std::string& path);
[[nodiscard]] Result<FoundFile> found_from(const std::string& name, const std::string& text);
[[nodiscard]] std::string found_text(const FoundFile& found);

}  // namespace ringout::cli
