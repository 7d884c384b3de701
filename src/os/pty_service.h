// A simulated controller behind a pseudo-terminal, paced to a clock: what the other side writes goes to the controller,
// what the controller sends comes out, and text lines work the hands beside it.
#pragma once

#include <functional>
#include <string>

#include "link/timed_stream.h"
#include "os/pty.h"

namespace ringout::os {

// Answers one line that a person typed; an empty answer prints nothing.
using LineCommand = std::function<std::string(const std::string& line)>;

class PtyService {
 public:
  // `wall_now` is the pacing clock's reading at the start; the controller's own time starts wherever it is.
  PtyService(link::TimedStream& controller, Pty& line, Instant wall_now);

  // Brings the controller up to the pacing clock and moves the bytes. A gap of more than 10 ms (the machine was busy,
  // or slept) is not made up for: the controller's clock stands still meanwhile.
  [[nodiscard]] Result<void> step(Instant wall_now);
  // A reading of the command input, cut into lines; the answers, one line each.
  [[nodiscard]] std::string commands(const std::string& typed, const LineCommand& on_line);

 private:
  link::TimedStream& controller_;
  Pty& line_;
  Instant wall_start_;
  Instant controller_start_;
  std::string unfinished_;
};

// Serves until os::interrupted() or the controller ends. Reads lines from `input` (standard input) and answers on
// standard output; the end of the input ends nothing.
[[nodiscard]] Result<void> serve_on_pty(link::TimedStream& controller, Pty& line, int input,
                                        const LineCommand& on_line);

}  // namespace ringout::os
