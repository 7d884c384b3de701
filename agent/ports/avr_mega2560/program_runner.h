// Runs the team's program in the main context, below all interrupts: the tick asks for it, main runs it, and a call
// that finds it stopped leaves it.
#pragma once

#include <stdint.h>

namespace ringout {
namespace mega {

// From the tick: program() is to begin. False while an earlier run has not left yet (it loops without calls).
bool ask_for_program();
// From the tick: it is to leave at its next call.
void ask_program_to_leave();

// Main's endless loop.
void run_programs();

}  // namespace mega
}  // namespace ringout
