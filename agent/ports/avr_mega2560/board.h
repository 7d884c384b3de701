// The agent's board port for the nursery board, and the agent itself.
#pragma once

#include "agent/agent.h"

namespace ringout {
namespace mega {

extern agent::Agent the_agent;

// Ticks since start, for waits.
uint32_t ticks();

// Sets up pins, timers, serial line and converter, starts the agent, then the tick and the watchdog.
void start_board();

}  // namespace mega
}  // namespace ringout
