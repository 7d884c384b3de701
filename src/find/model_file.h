// A model as a text that a person writes; the format is docs/find_model.md.
#pragma once

#include <optional>

#include "base/diagnostic.h"
#include "find/model.h"

namespace ringout::find {

// Everything that is wrong is reported in one run (after a syntax error: that alone); nothing is returned then.
[[nodiscard]] std::optional<Model> read_model(const SourceText& text, Diagnostics& found);

}  // namespace ringout::find
