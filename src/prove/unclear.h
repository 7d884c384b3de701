// What to do where a finding is not sure enough: nothing is proved and nobody accused, but what is left open is said.
#pragma once

#include <string>

#include "prove/finding.h"

namespace ringout::prove {

[[nodiscard]] std::string unclear_words(const Finding& finding);

}  // namespace ringout::prove
