// One line of a capture file: words between spaces, then '~' and the CRC-16 of all before it.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "capture/capture.h"

namespace ringout::capture {

// CRC-16/IBM-3740: polynomial 0x1021, start 0xFFFF, not reflected, no final change.
[[nodiscard]] std::uint16_t line_check(std::string_view bytes);
[[nodiscard]] std::string seal(std::string body);                             // body + "~hhhh\n"
[[nodiscard]] std::optional<std::string_view> unseal(std::string_view line);  // empty where the check is wrong

[[nodiscard]] std::string body_of(const Header& header);
[[nodiscard]] std::string body_of(const Entry& entry);
[[nodiscard]] std::optional<Header> parse_header(std::string_view body);
// `why` says what is wrong where nothing is returned.
[[nodiscard]] std::optional<Entry> parse_entry(std::string_view body, const Header& header, std::string& why);

}  // namespace ringout::capture
