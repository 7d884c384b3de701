// A program that we start, talk to and end by its own id.
#pragma once

#include <sys/types.h>

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/instant.h"
#include "base/result.h"
#include "os/descriptor.h"

namespace ringout::os {

// How a program ended: its exit status, or the signal that ended it.
struct Ended {
  std::optional<int> exit_status;
  std::optional<int> signal;
  [[nodiscard]] bool in_order() const { return exit_status == 0; }
};

class ChildProcess {
 public:
  // Starts `words[0]` (looked up in PATH) with its standard input and output joined to us, its standard error left as
  // ours. The two are one socket, so that writing to a program that has ended is an error and not a signal.
  [[nodiscard]] static Result<ChildProcess> start(const std::vector<std::string>& words);
  ChildProcess(ChildProcess&&) noexcept = default;
  ChildProcess& operator=(ChildProcess&& other) noexcept;
  ~ChildProcess();  // stops it

  [[nodiscard]] pid_t id() const { return id_; }
  // Writes all or fails with child.gone.
  [[nodiscard]] Result<void> write(std::span<const std::uint8_t> bytes);
  // Reads exactly so many bytes before the deadline or fails with child.gone or child.silent.
  [[nodiscard]] Result<std::vector<std::uint8_t>> read_exactly(std::size_t count, Instant deadline);
  // Closes its input, gives it `patience` to end by itself, then ends it.
  Ended stop(Duration patience = Duration::milliseconds(500));

 private:
  ChildProcess(pid_t id, Descriptor line, std::string name);
  [[nodiscard]] bool ended_before(Instant deadline);
  [[nodiscard]] Error gone() const;

  pid_t id_ = 0;
  Descriptor line_;
  Descriptor watch_;  // readable once the process has ended
  std::string name_;
};

struct Finished {
  Ended how;
  std::string output;  // standard output and standard error, as they came
};

// Runs a program to its end and keeps what it prints, at most `limit` bytes of it; past the patience it is ended.
[[nodiscard]] Result<Finished> run_to_end(const std::vector<std::string>& words, Duration patience,
                                          std::size_t limit = 1u << 20);

}  // namespace ringout::os
