// Whole files, with limits, and writes that leave either the old file or the new one.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace ringout::os {

constexpr std::size_t largest_text_file = 4u << 20;  // far beyond any robot file or catalogue

[[nodiscard]] Result<std::string> read_text(const std::string& path, std::size_t limit = largest_text_file);
[[nodiscard]] Result<std::vector<std::uint8_t>> read_bytes(const std::string& path, std::size_t limit);

// Writes beside the target, flushes to the disk and renames over it. Missing folders are made.
[[nodiscard]] Result<void> write_atomically(const std::string& path, std::span<const std::uint8_t> bytes);
[[nodiscard]] Result<void> write_atomically(const std::string& path, std::string_view text);

// An advisory lock on an open file, held until its last descriptor is closed, also where the process is killed.
enum class Locked {
  yes,
  by_another,     // who opened the file on their own
  not_to_be_had,  // a file system without locks
};
[[nodiscard]] Locked lock_alone(int descriptor);

[[nodiscard]] bool is_file(const std::string& path);
[[nodiscard]] bool is_folder(const std::string& path);
// The files of a folder with this ending (".toml"), sorted by name; a folder that is not there has none.
[[nodiscard]] std::vector<std::string> files_in(const std::string& folder, std::string_view ending);

}  // namespace ringout::os
