// The person's interrupt key (SIGINT) and a polite request to end (SIGTERM) as a flag that loops look at.
#pragma once

namespace ringout::os {

// From here on SIGINT and SIGTERM set the flag and no longer end the process; a second one while the flag is still set
// ends it at once. The agent's own time-out turns outputs off either way.
void catch_interrupts();
[[nodiscard]] bool interrupted();
void forget_interrupt();

}  // namespace ringout::os
