// What must hold of a model that was read from a file as a whole, said at its place in the text.
#pragma once

#include "base/diagnostic.h"
#include "find/model.h"

namespace ringout::find {

// `header`: where a problem stands that has no place of its own.
void check_model(const Model& model, const SourceText& text, Span header, Diagnostics& found);

}  // namespace ringout::find
