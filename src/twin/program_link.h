// Ties the team's program, a process of its own, to the agent of the twin.
#pragma once

#include <string>
#include <vector>

#include "agent/agent.h"
#include "agent/ports/host/program_process.h"

namespace ringout::twin {

class ProgramLink : public ProgramCalls {
 public:
  // Starts the process once to learn its points; empty: there is no program.
  explicit ProgramLink(std::string executable);

  void attach(agent::Agent* agent) { agent_ = agent; }
  [[nodiscard]] agent::ProgramHooks hooks();
  [[nodiscard]] const std::vector<PointName>& points() const { return process_.points(); }
  [[nodiscard]] std::uint32_t fingerprint() const { return process_.fingerprint(); }
  [[nodiscard]] bool usable() const { return usable_; }
  [[nodiscard]] const std::string& problem() const { return problem_; }

  // After the agent's tick: lets the program work until it waits.
  void tick();
  // The chip is in reset: the program is gone.
  void drop();

  void set_level(std::uint8_t point, float level) override;
  float read_value(std::uint8_t point) override;
  void all_off() override;
  void name_step(const char* name) override;
  void stands_at(std::uint16_t line, runner::Wait wait, std::uint8_t point) override;

 private:
  enum class Phase { idle, going, leaving };

  bool go();

  std::string executable_;
  ProgramProcess process_;
  agent::Agent* agent_ = nullptr;
  Phase phase_ = Phase::idle;
  bool usable_ = false;
  std::string problem_;
  std::uint16_t line_ = 0;
};

}  // namespace ringout::twin
