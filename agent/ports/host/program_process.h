// The twin's side of a team's program that runs in a process of its own (its globals, its endless loops). Virtual time
// stands still while the program works and goes on while it waits; no clock decides anything, so a run repeats exactly.
// A program that burns its own processor time without any call counts as hung and time goes on without it.
#pragma once

#include <sys/types.h>

#include <cstdint>
#include <string>
#include <vector>

#include "agent/ports/host/program_talk.h"

namespace ringout {

// What the program's calls act on: the agent.
class ProgramCalls {
 public:
  virtual ~ProgramCalls() = default;
  virtual void set_level(std::uint8_t point, float level) = 0;
  virtual float read_value(std::uint8_t point) = 0;
  virtual void all_off() = 0;
  virtual void name_step(const char* name) = 0;
  // Where the program stands: its line, and what it waits for there (nothing: it goes on).
  virtual void stands_at(std::uint16_t line, runner::Wait wait, std::uint8_t point) = 0;
};

class ProgramProcess {
 public:
  enum class State {
    absent,   // the executable could not be started or is no program; see problem()
    ready,    // its points are known, program() has not begun
    running,  // program() works or waits
    hung,     // burnt its processor time without a call, or slept outside one
    ended,    // program() returned
    stopped,  // ended by stop()
    died,     // the process is gone without that: a crash, or exit()
  };

  // Calls that cost no virtual time of their own; after this many in one tick the program waits for the next one, so
  // that a loop which only polls an input sees time pass. About the rate of the chip.
  static constexpr int calls_per_tick = 40;
  static constexpr std::int64_t hung_after_ns = 200'000'000;  // of the child's own processor time

  ProgramProcess() = default;
  ~ProgramProcess();
  ProgramProcess(const ProgramProcess&) = delete;
  ProgramProcess& operator=(const ProgramProcess&) = delete;

  // Starts the process and learns its points. Ends one that was there before.
  State open(const std::string& executable);
  // Lets program() begin; it first runs in the next tick. False unless ready.
  bool go();
  // One tick of virtual time (1 ms) has passed: the program runs until it waits.
  State tick(ProgramCalls& agent);
  // Ends the process at once.
  void stop();

  [[nodiscard]] State state() const { return state_; }
  [[nodiscard]] const std::string& problem() const { return problem_; }
  [[nodiscard]] const std::vector<PointName>& points() const { return points_; }
  [[nodiscard]] std::uint32_t fingerprint() const { return fingerprint_; }

 private:
  enum class Heard { message, hung, gone };

  State fail(std::string why);
  Heard hear(program_talk::Message& message);
  bool serve(const program_talk::Message& message, ProgramCalls& agent);
  void sleep(std::uint32_t ticks);
  void answer(float value);
  State leave(State state);

  State state_ = State::absent;
  std::string problem_;
  std::vector<PointName> points_;
  std::uint32_t fingerprint_ = 0;
  pid_t child_ = -1;
  int socket_ = -1;
  std::int64_t processor_ns_ = 0;  // the child's, at its last message
  std::uint32_t ticks_ = 0;        // of program(), since it began
  // Times are differences, as on the chip, so that a wait of 0xFFFFFFFF ms is as long as it says.
  std::uint32_t slept_at_ = 0;
  std::uint32_t sleep_for_ = 0;
  std::uint32_t wait_began_ = 0;
  std::uint32_t wait_limit_ = 0;
  bool asleep_ = false;  // it is owed an answer
  std::uint16_t line_ = 0;
};

}  // namespace ringout
