// The controller answers with a byte and a 16-bit detail; the words for people are here.
#pragma once

#include <string>

#include "base/result.h"
#include "wire/codes.h"
#include "wire/messages.h"

namespace ringout::link {

// What stopped the outputs, for the end of a sentence: "an end switch acted".
[[nodiscard]] std::string words_for(wire::StopCause cause);
[[nodiscard]] std::string words_for(wire::ResetCause cause);
// "none", "ready", "running", "ended", "stopped": stable, also in JSON.
[[nodiscard]] const char* name_of(wire::ProgramState state);
// Latched faults, separated by commas; empty for none.
[[nodiscard]] std::string words_for_faults(std::uint32_t faults);

// A refused request as an error; `what` is what was asked for: "the bump of bridge 3".
[[nodiscard]] Error refusal(const std::string& what, const wire::ReplyHeader& header);
// Outputs were stopped while they were wanted.
[[nodiscard]] Error stopped_by(wire::StopCause cause, const std::string& while_what);

}  // namespace ringout::link
