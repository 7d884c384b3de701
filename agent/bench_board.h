// A board on the bench for the agent's own tests: every pin is a variable, the clock stands still until it is moved,
// the EEPROM can lose its supply after any byte, and the watchdog is modelled. Not part of the agent.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <vector>

#include "agent/agent.h"

namespace ringout {
namespace agent {

struct BenchBoard {
  std::uint32_t clock_us = 5000;
  std::vector<std::int16_t> levels = std::vector<std::int16_t>(8, 0);
  std::vector<OffMode> off_modes = std::vector<OffMode>(8, OffMode::coast);
  std::vector<std::int32_t> counts = std::vector<std::int32_t>(6, 0);
  std::uint16_t switches = 0xFFFF;
  std::vector<std::uint16_t> adc = std::vector<std::uint16_t>(8, 512);
  std::vector<std::uint8_t> eeprom = std::vector<std::uint8_t>(4096, 0xFF);
  int eeprom_writes_left = -1;  // the supply is cut while the byte after this many is written; negative: never
  bool eeprom_torn = false;     // it has been
  std::uint32_t eeprom_byte_us = 0;
  std::uint32_t eeprom_free_at_us = 0;
  int eeprom_waits = 0;  // reads that would have had to wait for a byte that was still being written
  std::vector<std::uint8_t> sent;
  std::uint16_t room = 512;
  std::uint32_t fed_at_us = 0;
  int locks = 0;
  std::uint32_t chance = 0x12345678;
  int interrupt_after_unlocks = -1;  // an interrupt comes when interrupts are unlocked for the n-th time from now
  std::function<void()> interrupt;

  [[nodiscard]] bool all_off() const;
  [[nodiscard]] Board port();
};

// What firmware the bench agent was built from.
struct BenchFirmware {
  std::uint8_t points = 6;
  std::uint32_t board_fp = 0xB0A2D001;
  std::uint32_t program_fp = 0x9206A301;
  [[nodiscard]] Firmware port();
};

// A runner that only records what it is told.
struct BenchProgram {
  bool present = true;
  int starts = 0;
  int stops = 0;
  [[nodiscard]] ProgramHooks hooks();
};

// Agent, board and the host's end of the line. The table: lift (bridge 0, end switches 0 and 1, acting low), clamp
// (bridge 1, reversed, travel on ADC 1), pump (bridge 2, on/off), two switches, the clamp's potentiometer, an encoder.
class Bench {
 public:
  Bench();

  void reset(wire::ResetCause cause = wire::ResetCause::power_on);
  // Ticks of 1 ms; models the watchdog: without a tick for its time plus 10 % the board resets.
  void run(int ms);
  // Time goes on but no tick runs: the program has disabled interrupts.
  void hang(int ms);
  // Hands over bytes as the receive interrupt would.
  void receive(const std::vector<std::uint8_t>& bytes);

  template <class Record>
  [[nodiscard]] std::vector<std::uint8_t> framed(std::uint8_t type, const Record& record) {
    wire::FrameBuilder builder;
    const std::uint16_t size = wire::build(builder, type, ++tag, record);
    return {builder.bytes(), builder.bytes() + size};
  }
  // Sends a request and returns its reply: after one tick, or after a few where the frame is longer than a tick takes.
  template <class Answer = wire::PermitReply, class Record>
  Answer ask(const Record& record) {
    receive(framed(Record::type, record));
    for (int ticks = 0; ticks < 4; ++ticks) {
      run(1);
      for (const auto& f : take_frames()) {
        if (f[0] != wire::reply_type(Record::type)) continue;
        Answer answer;
        wire::ReplyHeader head;
        wire::decode(f.data() + 2, static_cast<std::uint16_t>(f.size() - 2), head);
        wire::decode(f.data() + 2, static_cast<std::uint16_t>(f.size() - 2), answer);
        answer.header = head;
        last_status = head.status;
        last_detail = head.detail;
        return answer;
      }
    }
    Answer none;
    none.header.status = wire::Status::unknown_type;
    last_status = none.header.status;
    return none;
  }
  template <class Record>
  wire::Status status_of(const Record& record) {
    return ask<wire::PermitReply>(record).header.status;
  }

  // Whole frames the agent has sent since the last look, without their checks. Events are kept in `events` too.
  std::vector<std::vector<std::uint8_t>> take_frames();

  // Loads the table by the protocol; the last status is returned.
  wire::Status load(const std::vector<std::uint8_t>& table);
  [[nodiscard]] std::vector<std::uint8_t> table();
  void permit();  // asks for permission and remembers the token
  [[nodiscard]] wire::MotionHeader next_header();
  wire::Status drive(std::uint8_t port, std::int16_t level);
  wire::Status hold();
  [[nodiscard]] wire::Bump gentle_bump(std::uint8_t port, std::int16_t level);
  // Runs with a hold every 10 ms.
  void run_held(int ms);

  BenchBoard board;
  BenchFirmware firmware;
  BenchProgram program;
  wire::TableHeader header;
  std::vector<wire::TableEntry> entries;
  std::unique_ptr<Agent> agent;
  std::vector<std::vector<std::uint8_t>> events;
  std::uint8_t tag = 0;
  std::uint32_t token = 0;
  std::uint32_t sequence = 0;
  wire::Status last_status = wire::Status::ok;
  std::uint16_t last_detail = 0;
  int resets = 0;
};

}  // namespace agent
}  // namespace ringout
