// The point table as the agent enforces it, decoded once so that the tick only compares numbers.
#pragma once

#include <stdint.h>

#include "agent/board.h"
#include "agent/limits.h"
#include "wire/codes.h"
#include "wire/point_table.h"

namespace ringout {
namespace agent {

// One end of an output's travel as a switch port tells it.
struct EndSwitch {
  uint8_t port = wire::no_port;
  bool acts_low = false;

  bool acts(uint16_t switch_levels) const {
    if (port == wire::no_port) return false;
    const bool high = ((switch_levels >> port) & 1) != 0;
    return high != acts_low;
  }
};

enum class TravelSensor : uint8_t { none, analogue, encoder };

// What holds for the output on one bridge.
struct OutputRule {
  uint8_t point = wire::no_point;  // no_point: no output of the robot is drawn on this bridge
  wire::PointKind kind = wire::PointKind::bridge_motor;
  bool reversed = false;
  bool proved = false;
  OffMode off = OffMode::coast;
  uint16_t max_level = 0;  // permille
  uint16_t slope = 0;      // permille a millisecond, 0: at once
  EndSwitch low_end;
  EndSwitch high_end;
  TravelSensor travel = TravelSensor::none;
  uint8_t travel_port = 0;
  bool travel_reversed = false;
  int32_t travel_low = 0;
  int32_t travel_high = 0;

  bool present() const { return point != wire::no_point; }
  // -1, 0 or 1: which way the point moves for a level at the port's terminals.
  int8_t direction(int16_t level) const {
    if (level == 0) return 0;
    return (level > 0) != reversed ? 1 : -1;
  }
};

// How a point is read or driven by the team's program.
struct PointRule {
  wire::PointKind kind = wire::PointKind::bus_device;
  uint8_t port = wire::no_port;
  bool reversed = false;
  bool acts_low = false;
  float scale = 1.0f;
  float offset = 0.0f;
};

struct Bounds {
  uint16_t level = 0;     // permille
  uint16_t duration = 0;  // ms
  uint16_t slope = 0;     // permille a millisecond
};

struct BankRule {
  uint8_t adc_channel = wire::no_port;
  uint16_t limit_raw = 0;
};

class Rules {
 public:
  // Forgets everything: nothing may move until a table has been taken whole.
  void clear();
  // Takes the header; ok, or the reason to refuse the table.
  wire::Status take_header(const wire::TableHeader& header, const Board& board, const Firmware& firmware);
  // Takes entry `index` of a table that stands in the EEPROM at `table_at`; entries in order.
  wire::Status take_entry(const Board& board, uint16_t table_at, uint8_t index);
  void make_valid(uint32_t fingerprint);

  bool valid() const { return valid_; }
  uint32_t fingerprint() const { return fingerprint_; }
  uint8_t count() const { return count_; }
  const OutputRule& output(uint8_t bridge) const { return outputs_[bridge]; }
  const PointRule& point(uint8_t point) const { return points_[point]; }
  const Bounds& unproved() const { return unproved_; }
  // What holds for driving an output, by the host or by the team's program: its own bounds once it is proved, else
  // nothing beyond what any device of the robot could bear. Duration 0: not bounded.
  Bounds drive_bounds(const OutputRule& rule) const;
  const BankRule& bank(uint8_t i) const { return banks_[i]; }
  uint8_t supply_adc() const { return supply_adc_; }
  uint16_t supply_low_raw() const { return supply_low_raw_; }
  uint16_t brake_mask() const { return brake_mask_; }
  uint16_t analogue_mask() const { return analogue_mask_; }  // ADC channels that are points

 private:
  wire::Status take_output(const Board& board, uint16_t table_at, uint8_t index, const wire::TableEntry& entry);
  wire::Status take_end(const Board& board, uint16_t table_at, uint8_t point, EndSwitch& end) const;
  wire::Status take_travel(const Board& board, uint16_t table_at, const wire::TableEntry& entry,
                           OutputRule& rule) const;

  bool valid_ = false;
  uint8_t count_ = 0;
  uint8_t supply_adc_ = 0;
  uint16_t supply_low_raw_ = 0;
  uint16_t brake_mask_ = 0;
  uint16_t analogue_mask_ = 0;
  uint32_t fingerprint_ = 0;
  Bounds unproved_;
  BankRule banks_[wire::max_banks];
  OutputRule outputs_[wire::max_bridges];
  PointRule points_[wire::max_points];
};

}  // namespace agent
}  // namespace ringout
