// How a team's program becomes a firmware for its board, or a process for the twin: the files to write first and the
// commands to run, as values. Writing and running is the edge's.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "robot/robot.h"

namespace ringout::bind {

enum class BuildFor { atmega2560, twin };

// Reads "atmega2560" or "twin".
[[nodiscard]] std::optional<BuildFor> build_for(std::string_view word);

struct BuildRequest {
  BuildFor target = BuildFor::twin;
  std::string program;                        // the team's source file
  std::string source_root;                    // where agent/ and wire/ are
  std::string out_folder;                     // must exist; everything is written there
  std::vector<std::string> definitions = {};  // for the compiler, NAME=VALUE; a simulated controller may differ by them
};

struct GeneratedFile {
  std::string path;
  std::string text;
};

struct BuildPlan {
  std::vector<GeneratedFile> files;                // to be written before the commands
  std::vector<std::vector<std::string>> commands;  // to be run in order, each must end with 0
  std::string product;                             // ELF for the chip, or an executable
  std::string map;                                 // linker map; empty for the twin
  std::vector<std::string> size_command;           // prints what read_size reads; empty for the twin
};

// Errors: bind.board-not-built-for (the chip's firmware has its pins built in: another chip or pin plan is refused),
// and those of points_hpp.
[[nodiscard]] Result<BuildPlan> firmware_build(const robot::Robot& robot, const BuildRequest& request);

// The fingerprint of the board file, for the firmware; the text of board.hpp.
[[nodiscard]] std::string board_hpp(const robot::Board& board);

struct FirmwareSize {
  std::uint32_t flash_bytes = 0;   // code, constants, initial values of variables
  std::uint32_t static_bytes = 0;  // variables; the rest of the RAM is the stack's
};

// Of an ATmega2560 (data sheet, features).
constexpr std::uint32_t flash_capacity_bytes = 256 * 1024;
constexpr std::uint32_t ram_capacity_bytes = 8 * 1024;

// Reads the output of the size command ("text data bss dec hex filename" and a line of figures). Error:
// bind.size-unreadable.
[[nodiscard]] Result<FirmwareSize> read_size(std::string_view output);

}  // namespace ringout::bind
