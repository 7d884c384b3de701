// The point table: what the agent knows and enforces about a robot's points. Packed little-endian:
//   header (60 bytes), entries (27 bytes each, outputs first, in the robot file's order), CRC-32 of all before it.
// The table's fingerprint is that CRC-32.
#pragma once

#include <stdint.h>

#include "wire/bytes.h"
#include "wire/codes.h"
#include "wire/crc.h"
#include "wire/messages.h"
#include "wire/protocol.h"

namespace ringout {
namespace wire {

constexpr uint16_t table_magic = 0x5452;  // "RT"
constexpr uint8_t table_layout_version = 1;
constexpr uint16_t table_header_bytes = 60;
constexpr uint16_t table_entry_bytes = 27;
constexpr uint16_t table_check_bytes = 4;
constexpr uint16_t max_table_bytes = table_header_bytes + max_points * table_entry_bytes + table_check_bytes;  // 1792

constexpr uint8_t max_banks = 4;

// A bank of bridges with a current sense: all outputs go off when `adc_channel` reads more than `limit_raw`.
struct TableBank {
  uint8_t adc_channel = no_port;  // no_port: no sense
  uint16_t limit_raw = 0;
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u8(m.adc_channel);
    c.u16(m.limit_raw);
  }
};

struct TableHeader {
  uint16_t magic = table_magic;
  uint8_t layout_version = table_layout_version;
  uint8_t count = 0;    // entries
  uint16_t length = 0;  // of the whole table, its check included
  uint32_t program_fp = 0;
  uint32_t board_fp = 0;
  // Bounds while a port is not proved: safe for any device of this robot on any bridge, in either direction.
  uint16_t unproved_level_permille = 0;
  uint16_t unproved_duration_ms = 0;
  uint16_t unproved_slope_permille_per_ms = 0;  // 0 only with level 0
  uint16_t supply_low_mv = 0;                   // below this outputs go off
  uint8_t supply_adc = 0;
  float supply_mv_per_raw = 0.0f;
  TableBank banks[max_banks];
  uint8_t reserved[21] = {};  // zero
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u16(m.magic);
    c.u8(m.layout_version);
    c.u8(m.count);
    c.u16(m.length);
    c.u32(m.program_fp);
    c.u32(m.board_fp);
    c.u16(m.unproved_level_permille);
    c.u16(m.unproved_duration_ms);
    c.u16(m.unproved_slope_permille_per_ms);
    c.u16(m.supply_low_mv);
    c.u8(m.supply_adc);
    c.f32(m.supply_mv_per_raw);
    for (uint8_t i = 0; i < max_banks; ++i) TableBank::fields(c, m.banks[i]);
    c.array(m.reserved);
  }
};

enum EntryFlag : uint8_t {
  entry_reversed = 1u << 0,  // output: a positive value needs a negative drive; encoder: counts are negated
  entry_brake = 1u << 1,     // output: brakes while off, else coasts
  entry_acts_low = 1u << 2,  // switch: its pin is low while it acts (normally open to ground)
  entry_proved = 1u << 3,    // output: its own bounds hold for drive and bump, else the header's unproved ones
};

struct TableEntry {
  uint8_t kind = 0;        // PointKind
  uint8_t port = no_port;  // counts the board's ports of that kind; analogue: the ADC channel
  uint8_t flags = 0;
  uint16_t max_level_permille = 0;
  uint16_t slope_permille_per_ms = 0;  // most change of the level a millisecond; 0: at once
  uint8_t low_switch = no_point;       // output: the switch that ends its travel toward negative values
  uint8_t high_switch = no_point;
  uint8_t travel_sensor = no_point;  // output: an analogue point or an encoder
  int32_t travel_low = 0;            // analogue: raw; encoder: counts from where permission was given
  int32_t travel_high = 0;           // low above high: the sensor falls while travel rises
  float scale = 1.0f;                // input: value = offset + scale * raw (analogue) or count (encoder)
  float offset = 0.0f;
  uint8_t unit = 0;  // Unit
  template <class Codec, class Self>
  static void fields(Codec& c, Self& m) {
    c.u8(m.kind);
    c.u8(m.port);
    c.u8(m.flags);
    c.u16(m.max_level_permille);
    c.u16(m.slope_permille_per_ms);
    c.u8(m.low_switch);
    c.u8(m.high_switch);
    c.u8(m.travel_sensor);
    c.i32(m.travel_low);
    c.i32(m.travel_high);
    c.f32(m.scale);
    c.f32(m.offset);
    c.u8(m.unit);
  }
};

// What an input's scaled value is in.
enum class Unit : uint8_t { none = 0, fraction = 1, radian = 2, metre = 3 };

constexpr uint16_t table_bytes(uint8_t count) {
  return static_cast<uint16_t>(table_header_bytes + count * table_entry_bytes + table_check_bytes);
}
constexpr uint16_t table_entry_offset(uint8_t index) {
  return static_cast<uint16_t>(table_header_bytes + index * table_entry_bytes);
}

// Writes a whole table; header.count and header.length are set here. `out` has room for table_bytes(count). Returns the
// bytes written.
inline uint16_t encode_table(TableHeader header, const TableEntry* entries, uint8_t count, uint8_t* out) {
  header.count = count;
  header.length = table_bytes(count);
  Writer to(out, header.length);
  TableHeader::fields(to, header);
  for (uint8_t i = 0; i < count; ++i) TableEntry::fields(to, entries[i]);
  to.u32(crc32(out, static_cast<uint16_t>(header.length - table_check_bytes)));
  return to.size();
}

}  // namespace wire
}  // namespace ringout
