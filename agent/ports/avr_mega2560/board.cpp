#include "agent/ports/avr_mega2560/board.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/wdt.h>
#include <util/atomic.h>

#include "agent/ports/avr_mega2560/analogue.h"
#include "agent/ports/avr_mega2560/bridges.h"
#include "agent/ports/avr_mega2560/clock.h"
#include "agent/ports/avr_mega2560/eeprom.h"
#include "agent/ports/avr_mega2560/encoders.h"
#include "agent/ports/avr_mega2560/load.h"
#include "agent/ports/avr_mega2560/pins.h"
#include "agent/ports/avr_mega2560/program_runner.h"
#include "agent/ports/avr_mega2560/serial.h"
#include "agent/ports/avr_mega2560/start.h"
#include "agent/program.hpp"
#include "board.hpp"  // generated beside points.hpp: the fingerprint of the board file

// Major, minor, patch. A build may name an older one, so that a controller left behind can be tried.
#ifndef RINGOUT_FIRMWARE_VERSION
#define RINGOUT_FIRMWARE_VERSION 0, 1, 0
#endif

namespace ringout {
namespace mega {
namespace {

using agent::OffMode;

static_assert(bridge_count <= 8, "masks below are one byte");
static_assert(static_cast<uint8_t>(wire::PointKind::bus_device) == static_cast<uint8_t>(PointKind::bus_device),
              "points.hpp and the wire number the kinds alike");
static_assert(transmit_capacity + 1 >= agent::transmit_ring_bytes, "limits.h asks for it");
static_assert(eeprom_size >= agent::eeprom_min_bytes, "limits.h asks for it");

void set_bridge(void*, uint8_t bridge, int16_t level_permille, OffMode when_off) {
  if (level_permille == 0 && when_off == OffMode::brake) {
    brake_bridge(bridge);
  } else {
    drive_bridge(bridge, level_permille);
  }
}
void all_off(void*, uint16_t brake_mask) {
  all_bridges_off(static_cast<uint8_t>(brake_mask));
}

int32_t encoder_count(void*, uint8_t encoder) {
  return encoder_count_of(encoder);
}
uint16_t switch_levels(void*) {
  return PINA;
}
uint16_t adc_raw(void*, uint8_t channel) {
  return adc_value_of(channel);
}
uint32_t clock(void*) {
  return clock_us();
}

bool eeprom_ready(void*) {
  return eeprom_is_ready();
}
void eeprom_read(void*, uint16_t at, uint8_t* to, uint16_t count) {
  read_eeprom(at, to, count);
}
bool eeprom_write(void*, uint16_t at, uint8_t byte) {
  return write_eeprom(at, byte);
}

void feed_watchdog(void*) {
  wdt_reset();
}

uint8_t lock(void*) {
  const uint8_t saved = SREG;
  cli();
  return saved;
}
void unlock(void*, uint8_t saved) {
  __asm__ __volatile__("" ::: "memory");
  SREG = saved;
}

uint16_t room(void*) {
  return transmit_room();
}
void transmit(void*, const uint8_t* bytes, uint16_t count) {
  queue_transmit(bytes, count);
}

uint16_t stack_left(void*) {
  return unused_stack();
}
uint16_t load(void*) {
  return load_permille();
}
uint32_t entropy(void*) {
  return start_entropy();
}

uint8_t point_name(void*, uint8_t point, char* to, uint8_t capacity, wire::PointKind* kind) {
  if (point >= program_points.count) return 0;
  *kind = static_cast<wire::PointKind>(pgm_read_byte(&point_names[point].kind));
  uint8_t size = 0;
  while (size < capacity && size < longest_point_name) {
    const char letter = static_cast<char>(pgm_read_byte(&point_names[point].name[size]));
    if (letter == '\0') break;
    to[size] = letter;
    size = static_cast<uint8_t>(size + 1);
  }
  return size;
}

bool start_program(void*) {
  return ask_for_program();
}
void stop_program(void*) {
  ask_program_to_leave();
}

const agent::Board board = {nullptr,
                            bridge_count,
                            encoder_count_total,
                            switch_count,
                            adc_channel_count,
                            supply_adc,
                            supply_mv_per_raw,
                            set_bridge,
                            all_off,
                            encoder_count,
                            switch_levels,
                            adc_raw,
                            clock,
                            eeprom_size,
                            eeprom_ready,
                            eeprom_read,
                            eeprom_write,
                            feed_watchdog,
                            lock,
                            unlock,
                            room,
                            transmit,
                            stack_left,
                            load,
                            entropy};

wire::ResetCause reset_cause() {
  const uint8_t flags = reset_flags();
  if (flags & (1 << WDRF)) return wire::ResetCause::watchdog;
  if (flags & (1 << PORF)) return wire::ResetCause::power_on;  // a rising supply sets the brown-out flag too
  if (flags & (1 << BORF)) return wire::ResetCause::brown_out;
  if (flags & (1 << EXTRF)) return wire::ResetCause::external;
  if (flags & (1 << JTRF)) return wire::ResetCause::debug;
  return wire::ResetCause::unknown;
}

volatile uint32_t tick_count;

// Hands received bytes to the agent, at most what it takes in one tick.
void pass_bytes_on() {
  for (uint8_t left = agent::receive_bytes_per_tick; left > 0; --left) {
    uint8_t byte = 0;
    if (!take_received(byte)) return;
    the_agent.on_matched_byte(byte);
  }
}

void tell_lost_bytes() {
  const uint8_t lost = take_lost_bytes();
  if (lost != 0) the_agent.on_lost_bytes(lost);
}

// One encoder a tick, so that a fast one never wraps unseen.
void widen_next_encoder() {
  static uint8_t next;
  encoder_count_of(next);
  next = next + 1 < encoder_count_total ? static_cast<uint8_t>(next + 1) : 0;
}

}  // namespace

agent::Agent the_agent(board,
                       {RINGOUT_FIRMWARE_VERSION, board_fingerprint, program_points.fingerprint, program_points.count,
                        nullptr, point_name},
                       {nullptr, start_program, stop_program});

uint32_t ticks() {
  uint32_t count = 0;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    count = tick_count;
  }
  return count;
}

void start_board() {
  start_bridges();
  DDRA = 0;
  PORTA = 0xFF;  // pull-ups of the switches
  start_encoders();
  the_agent.start(reset_cause());
  start_analogue();
  start_serial();
  start_clock();
  wdt_enable(WDTO_60MS);
  sei();
}

// The tick lets other interrupts in from its first instruction. One that comes while the last is still running only
// counts the time, and one that comes late, because a program had interrupts disabled, counts all that has passed.
ISR(TIMER1_COMPA_vect, ISR_NOBLOCK) {
  static bool running;
  static uint8_t missed;
  cli();
  const uint8_t passed = count_milliseconds();
  tick_count += passed;
  const bool nested = running;
  missed = static_cast<uint8_t>(missed + (nested ? passed : passed - 1));
  running = true;
  sei();
  if (nested) return;
  const uint8_t missed_now = missed;
  missed = 0;

  const uint32_t began = clock_us();
  // One missed tick is in order while a long frame comes in at the full rate of the line: its bytes' interrupts alone
  // take two thirds of the time. Two in a row are not.
  if (missed_now > 1) the_agent.tick_missed();
  if (stopped_from_line) {
    the_agent.on_stop_frame();
    acknowledge_stop();
  }
  tell_lost_bytes();
  pass_bytes_on();
  the_agent.tick();
  widen_next_encoder();
  look_at_stack();
  note_tick(static_cast<uint16_t>(clock_us() - began));

  running = false;
}

}  // namespace mega
}  // namespace ringout

int main() {
  ringout::mega::start_board();
  ringout::mega::run_programs();
}
