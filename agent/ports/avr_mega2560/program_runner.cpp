#include "agent/ports/avr_mega2560/program_runner.h"

#include <avr/interrupt.h>
#include <avr/sleep.h>
#include <setjmp.h>

#include "agent/ports/avr_mega2560/board.h"
#include "agent/program.hpp"
#include "wire/codes.h"

namespace ringout {
namespace mega {
namespace {

volatile bool asked;    // by the tick, for a program
volatile bool running;  // program() has been entered and not been left
volatile bool leave;
jmp_buf way_out;

// The wait that the program is in.
bool waiting;
uint16_t wait_line;
uint32_t wait_began;
uint32_t wait_limit;

// Sleeps until any interrupt; the tick comes at the latest.
void sleep_a_while() {
  sleep_enable();
  sleep_cpu();
  sleep_disable();
}

// Sleeps until the next tick.
void sleep_a_tick() {
  const uint32_t now = ticks();
  while (ticks() == now) sleep_a_while();
}

// Every call begins here. Objects of the program are not destroyed on this way out; the chip has no exceptions.
void leave_if_stopped() {
  if (leave || !the_agent.program_live()) longjmp(way_out, 1);
}

// A call outside program(), such as in the constructor of a global object, does nothing.
bool may_call() {
  if (!running) return false;
  leave_if_stopped();
  return true;
}

int16_t permille(float level) {
  if (level != level) return 0;  // not a number
  if (level < -1.0F) return -1000;
  if (level > 1.0F) return 1000;
  return static_cast<int16_t>(level * 1000.0F + (level < 0.0F ? -0.5F : 0.5F));
}

static_assert(static_cast<uint8_t>(runner::Wait::condition) == static_cast<uint8_t>(wire::WaitKind::condition),
              "program.hpp and the wire number the kinds of waits alike");

}  // namespace

bool ask_for_program() {
  if (asked || running) return false;
  leave = false;
  asked = true;
  return true;
}

void ask_program_to_leave() {
  leave = true;
}

void run_programs() {
  SMCR = 0;  // idle: everything but the processor goes on
  for (;;) {
    while (!asked) sleep_a_while();
    waiting = false;
    running = true;
    asked = false;
    // One that was stopped before it began is over like any other, so that the agent may start it again.
    if (!leave && setjmp(way_out) == 0) program();
    running = false;
    the_agent.program_over();
  }
}

}  // namespace mega

namespace runner {

using namespace mega;

void set_level(uint8_t point, float level, uint16_t line) {
  if (may_call()) the_agent.program_set(point, permille(level), line);
}

float read_value(uint8_t point, uint16_t line) {
  return may_call() ? the_agent.program_read(point, waiting ? wait_line : line) : 0.0F;
}

void all_off(uint16_t line) {
  if (may_call()) the_agent.program_outputs_off(line);
}

void name_step(const char* name, uint16_t line) {
  if (may_call()) the_agent.program_step(name, line);
}

void wait_time(uint32_t milliseconds, uint16_t line) {
  if (!may_call()) return;
  the_agent.program_waits(wire::WaitKind::time, wire::no_point, line);
  const uint32_t began = ticks();
  while (ticks() - began < milliseconds) {
    sleep_a_tick();
    leave_if_stopped();
  }
  the_agent.program_waits(wire::WaitKind::nothing, wire::no_point, line);
}

void begin_wait(Wait kind, uint8_t point, uint32_t time_limit_ms, uint16_t line) {
  if (!may_call()) return;
  waiting = true;
  wait_line = line;
  wait_began = ticks();
  wait_limit = time_limit_ms;
  the_agent.program_waits(static_cast<wire::WaitKind>(kind), point, line);
}

bool next_tick() {
  if (!may_call() || ticks() - wait_began >= wait_limit) return false;
  sleep_a_tick();
  leave_if_stopped();
  return true;
}

void end_wait() {
  waiting = false;
  if (may_call()) the_agent.program_waits(wire::WaitKind::nothing, wire::no_point, wait_line);
}

}  // namespace runner
}  // namespace ringout
