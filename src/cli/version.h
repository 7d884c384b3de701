#pragma once

namespace ringout::cli {

inline constexpr const char* version = "0.1.0";

}  // namespace ringout::cli
