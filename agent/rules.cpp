#include "agent/rules.h"

namespace ringout {
namespace agent {
namespace {

using wire::PointKind;
using wire::Status;

wire::TableEntry read_entry(const Board& board, uint16_t table_at, uint8_t index) {
  uint8_t bytes[wire::table_entry_bytes];
  board.eeprom_read(board.context, static_cast<uint16_t>(table_at + wire::table_entry_offset(index)), bytes,
                    wire::table_entry_bytes);
  wire::TableEntry entry;
  wire::decode(bytes, sizeof bytes, entry);
  return entry;
}

bool has_flag(const wire::TableEntry& entry, wire::EntryFlag flag) {
  return (entry.flags & flag) != 0;
}

uint8_t ports_of(const Board& board, PointKind kind) {
  switch (kind) {
    case PointKind::bridge_motor:
    case PointKind::on_off:
      return board.bridges;
    case PointKind::switch_input:
      return board.switches;
    case PointKind::analogue:
      return board.adc_channels;
    case PointKind::encoder:
      return board.encoders;
    default:
      return 0xFF;  // kinds that this agent cannot drive are carried, not used
  }
}

}  // namespace

// Member by member: a whole new value would stand on the stack first, 1.4 KB of it, and make the tick late.
void Rules::clear() {
  valid_ = false;
  count_ = 0;
  supply_adc_ = 0;
  supply_low_raw_ = 0;
  brake_mask_ = 0;
  analogue_mask_ = 0;
  fingerprint_ = 0;
  unproved_ = Bounds();
  for (uint8_t i = 0; i < wire::max_banks; ++i) banks_[i] = BankRule();
  for (uint8_t i = 0; i < wire::max_bridges; ++i) outputs_[i] = OutputRule();
  for (uint8_t i = 0; i < wire::max_points; ++i) {
    points_[i].kind = wire::PointKind::bus_device;
    points_[i].port = wire::no_port;
  }
}

Bounds Rules::drive_bounds(const OutputRule& rule) const {
  Bounds bounds;
  bounds.level = rule.max_level;
  bounds.slope = rule.slope;
  if (rule.proved) return bounds;
  bounds.duration = unproved_.duration;
  if (unproved_.level < bounds.level) bounds.level = unproved_.level;
  if (bounds.slope == 0 || unproved_.slope < bounds.slope) bounds.slope = unproved_.slope;
  return bounds;
}

void Rules::make_valid(uint32_t fingerprint) {
  fingerprint_ = fingerprint;
  valid_ = true;
}

Status Rules::take_header(const wire::TableHeader& header, const Board& board, const Firmware& firmware) {
  clear();
  if (header.magic != wire::table_magic) return Status::table_refused_check;
  if (header.layout_version != wire::table_layout_version) return Status::table_refused_version;
  if (header.count > wire::max_points || header.length != wire::table_bytes(header.count)) {
    return Status::table_refused_check;
  }
  if (header.board_fp != firmware.board_fp) return Status::table_refused_board;
  if (header.program_fp != firmware.program_fp) return Status::table_refused_names;
  const bool scale_fits = header.supply_mv_per_raw > 0.01f && header.supply_mv_per_raw < 1000.0f;
  if (header.supply_adc >= board.adc_channels || !scale_fits) return Status::table_refused_content;
  if (header.unproved_level_permille > 1000) return Status::table_refused_content;
  // "At once" for what is driven and "nothing" for a bump: it says neither.
  if (header.unproved_level_permille > 0 && header.unproved_slope_permille_per_ms == 0) {
    return Status::table_refused_content;
  }
  count_ = header.count;
  supply_adc_ = header.supply_adc;
  const float low_raw = static_cast<float>(header.supply_low_mv) / header.supply_mv_per_raw;
  supply_low_raw_ = low_raw < 65535.0f ? static_cast<uint16_t>(low_raw) : 65535;
  unproved_.level = header.unproved_level_permille;
  unproved_.duration = header.unproved_duration_ms;
  unproved_.slope = header.unproved_slope_permille_per_ms;
  for (uint8_t i = 0; i < wire::max_banks; ++i) {
    const uint8_t channel = header.banks[i].adc_channel;
    if (channel != wire::no_port && channel >= board.adc_channels) return Status::table_refused_content;
    banks_[i].adc_channel = channel;
    banks_[i].limit_raw = header.banks[i].limit_raw;
  }
  return Status::ok;
}

Status Rules::take_entry(const Board& board, uint16_t table_at, uint8_t index) {
  const wire::TableEntry entry = read_entry(board, table_at, index);
  const PointKind kind = static_cast<PointKind>(entry.kind);
  if (entry.kind > static_cast<uint8_t>(PointKind::bus_device)) return Status::table_refused_content;
  if (entry.port >= ports_of(board, kind)) return Status::table_refused_content;
  PointRule& point = points_[index];
  point.kind = kind;
  point.port = entry.port;
  point.reversed = has_flag(entry, wire::entry_reversed);
  point.acts_low = has_flag(entry, wire::entry_acts_low);
  point.scale = entry.scale;
  point.offset = entry.offset;
  if (kind == PointKind::analogue) analogue_mask_ = static_cast<uint16_t>(analogue_mask_ | (1u << entry.port));
  return wire::uses_bridge(kind) ? take_output(board, table_at, index, entry) : Status::ok;
}

Status Rules::take_output(const Board& board, uint16_t table_at, uint8_t index, const wire::TableEntry& entry) {
  OutputRule& rule = outputs_[entry.port];
  if (rule.present()) return Status::table_refused_content;  // two outputs on one bridge
  if (entry.max_level_permille > 1000) return Status::table_refused_content;
  rule.point = index;
  rule.kind = static_cast<PointKind>(entry.kind);
  rule.reversed = has_flag(entry, wire::entry_reversed);
  rule.proved = has_flag(entry, wire::entry_proved);
  rule.off = has_flag(entry, wire::entry_brake) ? OffMode::brake : OffMode::coast;
  rule.max_level = entry.max_level_permille;
  rule.slope = entry.slope_permille_per_ms;
  if (rule.off == OffMode::brake) brake_mask_ = static_cast<uint16_t>(brake_mask_ | (1u << entry.port));
  Status status = take_end(board, table_at, entry.low_switch, rule.low_end);
  if (status == Status::ok) status = take_end(board, table_at, entry.high_switch, rule.high_end);
  if (status == Status::ok) status = take_travel(board, table_at, entry, rule);
  return status;
}

Status Rules::take_end(const Board& board, uint16_t table_at, uint8_t point, EndSwitch& end) const {
  if (point == wire::no_point) return Status::ok;
  if (point >= count_) return Status::table_refused_content;
  const wire::TableEntry sensor = read_entry(board, table_at, point);
  if (static_cast<PointKind>(sensor.kind) != PointKind::switch_input || sensor.port >= board.switches) {
    return Status::table_refused_content;
  }
  end.port = sensor.port;
  end.acts_low = has_flag(sensor, wire::entry_acts_low);
  return Status::ok;
}

Status Rules::take_travel(const Board& board, uint16_t table_at, const wire::TableEntry& entry,
                          OutputRule& rule) const {
  if (entry.travel_sensor == wire::no_point) return Status::ok;
  if (entry.travel_sensor >= count_) return Status::table_refused_content;
  const wire::TableEntry sensor = read_entry(board, table_at, entry.travel_sensor);
  const PointKind kind = static_cast<PointKind>(sensor.kind);
  if (kind == PointKind::analogue && sensor.port < board.adc_channels) {
    rule.travel = TravelSensor::analogue;
  } else if (kind == PointKind::encoder && sensor.port < board.encoders) {
    rule.travel = TravelSensor::encoder;
  } else {
    return Status::table_refused_content;
  }
  rule.travel_port = sensor.port;
  rule.travel_reversed = kind == PointKind::encoder && has_flag(sensor, wire::entry_reversed);
  rule.travel_low = entry.travel_low;
  rule.travel_high = entry.travel_high;
  return Status::ok;
}

}  // namespace agent
}  // namespace ringout
