#include "twin/program_link.h"

#include <algorithm>
#include <cmath>

namespace ringout::twin {

ProgramLink::ProgramLink(std::string executable) : executable_(std::move(executable)) {
  if (executable_.empty()) return;
  usable_ = process_.open(executable_) == ProgramProcess::State::ready;
  if (!usable_) problem_ = process_.problem();
}

agent::ProgramHooks ProgramLink::hooks() {
  agent::ProgramHooks hooks = {};
  hooks.context = this;
  if (!usable_) return hooks;
  hooks.start = [](void* c) { return static_cast<ProgramLink*>(c)->go(); };
  hooks.stop = [](void* c) { static_cast<ProgramLink*>(c)->phase_ = Phase::leaving; };
  return hooks;
}

// Every run is a process of its own, as every run on the chip starts with program() from its top.
bool ProgramLink::go() {
  if (process_.state() != ProgramProcess::State::ready && process_.open(executable_) != ProgramProcess::State::ready) {
    problem_ = process_.problem();
    return false;
  }
  if (!process_.go()) return false;
  phase_ = Phase::going;
  problem_.clear();
  return true;
}

void ProgramLink::tick() {
  if (phase_ == Phase::leaving) {
    process_.stop();
    phase_ = Phase::idle;
    agent_->program_over();
  }
  if (phase_ != Phase::going) return;
  const ProgramProcess::State state = process_.tick(*this);
  if (state == ProgramProcess::State::running || state == ProgramProcess::State::hung) return;
  if (state == ProgramProcess::State::died) {
    problem_ = process_.problem().empty() ? "the program's process ended by itself: it crashed, or called exit"
                                          : process_.problem();
  }
  phase_ = Phase::idle;
  agent_->program_over();
}

void ProgramLink::drop() {
  if (phase_ != Phase::idle) process_.stop();
  phase_ = Phase::idle;
}

void ProgramLink::set_level(std::uint8_t point, float level) {
  const float bounded = std::isnan(level) ? 0.0F : std::clamp(level, -1.0F, 1.0F);
  agent_->program_set(point, static_cast<std::int16_t>(std::lround(bounded * 1000.0F)), line_);
}

float ProgramLink::read_value(std::uint8_t point) {
  return agent_->program_read(point, line_);
}

void ProgramLink::all_off() {
  agent_->program_outputs_off(line_);
}

void ProgramLink::name_step(const char* name) {
  agent_->program_step(name, line_);
}

void ProgramLink::stands_at(std::uint16_t line, runner::Wait wait, std::uint8_t point) {
  line_ = line;
  agent_->program_waits(static_cast<wire::WaitKind>(wait), point, line);
}

}  // namespace ringout::twin
