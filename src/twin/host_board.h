// The board port of the twin: the agent's pins are the plant's, its clock is virtual time, its EEPROM is an image.
#pragma once

#include <array>
#include <cstdint>
#include <deque>
#include <span>
#include <vector>

#include "agent/board.h"
#include "agent/limits.h"
#include "base/instant.h"
#include "plant/plant.h"
#include "robot/robot.h"
#include "wire/messages.h"

namespace ringout::twin {

struct TimedByte {
  std::uint8_t byte = 0;
  Instant at;  // when its stop bit was over
};

class HostBoard {
 public:
  HostBoard(const robot::Board& board, plant::Plant& plant, std::vector<std::uint8_t> eeprom, std::uint64_t seed);
  HostBoard(const HostBoard&) = delete;
  HostBoard& operator=(const HostBoard&) = delete;

  [[nodiscard]] agent::Board port();

  // ---- driven by the twin -----------------------------------------------------------------------------------------
  void set_now(Instant now) { now_ = now; }
  [[nodiscard]] Instant now() const { return now_; }
  // The chip has come out of reset: its clock starts, its counters are zero, its transmit queue is empty.
  void start_chip();
  // Every bridge off and the line silent, as the pins do by themselves in reset.
  void release_pins();
  // The plant has made a step: decode its encoder edges, take its switches, forget the last conversions.
  void take_pins();
  // Bytes that have left by `until`, in order.
  void take_sent(Instant until, std::vector<TimedByte>& to);

  [[nodiscard]] Duration byte_time() const { return byte_time_; }
  [[nodiscard]] Instant watchdog_fed_at() const { return fed_at_; }
  [[nodiscard]] const std::vector<std::uint8_t>& eeprom() const { return eeprom_; }

 private:
  static HostBoard& self(void* context) { return *static_cast<HostBoard*>(context); }
  void set_bridge(std::uint8_t bridge, std::int16_t level, agent::OffMode off);
  [[nodiscard]] std::uint16_t convert(std::uint8_t channel);
  bool write_eeprom(std::uint16_t at, std::uint8_t byte);
  void transmit(const std::uint8_t* bytes, std::uint16_t count);
  [[nodiscard]] std::uint16_t room();

  plant::Plant& plant_;
  std::uint8_t bridges_ = 0;
  std::uint8_t encoders_ = 0;
  std::uint8_t switches_ = 0;
  std::uint8_t supply_adc_ = 0;
  float supply_mv_per_raw_ = 0.0F;
  double codes_per_volt_ = 0.0;
  std::uint16_t highest_code_ = 0;
  std::uint16_t inverted_switches_ = 0;
  std::uint32_t chance_ = 0;

  Instant now_;
  Instant chip_started_;
  Instant fed_at_;
  std::array<std::int32_t, wire::max_encoders> counts_ = {};
  std::array<std::uint8_t, wire::max_encoders> encoder_state_ = {};
  std::uint16_t switch_levels_ = 0;
  std::array<std::uint16_t, wire::max_adc_channels> codes_ = {};
  std::uint16_t converted_ = 0;  // bit per channel: codes_ holds this step's conversion

  std::vector<std::uint8_t> eeprom_;
  Instant eeprom_free_at_;

  Duration byte_time_;
  std::deque<TimedByte> sent_;  // handed over by the agent, with the time each byte will have left
  Instant line_free_at_;
};

}  // namespace ringout::twin
