#include "bind/point_table.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/check.h"
#include "bind/points_hpp.h"
#include "bind/scaling.h"
#include "robot/fingerprint.h"

namespace ringout::bind {
namespace {

std::uint8_t point_index(const robot::Robot& robot, const std::string& input_name) {
  for (std::size_t i = 0; i < robot.inputs.size(); ++i) {
    if (robot.inputs[i].name == input_name) return static_cast<std::uint8_t>(robot.outputs.size() + i);
  }
  return wire::no_point;
}

std::uint16_t permille(double fraction) {
  return static_cast<std::uint16_t>(std::lround(fraction * 1000.0));
}

// Raw numbers of the travel sensor at both bounds; only an ADC's codes can be told apart from "anywhere".
void set_travel(const robot::Robot& robot, const robot::Output& output, wire::TableEntry& entry) {
  const robot::Input* sensor = travel_sensor_of(robot, output);
  if (sensor == nullptr) return;
  const InputScale scale = scale_of(robot, *sensor);
  const double inset = travel_inset * (output.mechanism->travel->high - output.mechanism->travel->low);
  const double full = std::exp2(robot.board.adc_bits) - 1.0;
  const auto raw = [&](double value) {
    return static_cast<std::int32_t>(std::lround(std::clamp(scale.raw(value), 0.0, full)));
  };
  entry.travel_sensor = point_index(robot, sensor->name);
  entry.travel_low = raw(output.mechanism->travel->low + inset);
  entry.travel_high = raw(output.mechanism->travel->high - inset);
}

wire::TableEntry entry_of(const robot::Robot& robot, const robot::Output& output, UnprovedBounds bounds,
                          std::span<const std::string> proved) {
  wire::TableEntry e;
  e.kind = static_cast<std::uint8_t>(output.kind);
  e.port = robot.port_of(output.port).index;
  if (output.reversed) e.flags |= wire::entry_reversed;
  if (output.off == robot::Off::brake) e.flags |= wire::entry_brake;
  if (std::find(proved.begin(), proved.end(), output.name) != proved.end()) e.flags |= wire::entry_proved;
  e.max_level_permille = permille(output.max_level);
  if (output.kind == robot::PointKind::bridge_motor) {
    // A proved output may do whatever it might do unproved, or it could not be proved again.
    const int slope = std::max(motor_slope_permille_per_ms, bounds.max_slope_permille_per_ms);
    e.slope_permille_per_ms = static_cast<std::uint16_t>(slope);
  }
  if (output.low_switch) e.low_switch = point_index(robot, *output.low_switch);
  if (output.high_switch) e.high_switch = point_index(robot, *output.high_switch);
  set_travel(robot, output, e);
  e.unit = static_cast<std::uint8_t>(wire::Unit::fraction);
  return e;
}

wire::Unit unit_of(Measured measured) {
  switch (measured) {
    case Measured::state:
      return wire::Unit::none;
    case Measured::angle:
      return wire::Unit::radian;
    case Measured::length:
      return wire::Unit::metre;
  }
  return wire::Unit::none;
}

Result<wire::TableEntry> entry_of(const robot::Robot& robot, const robot::Input& input) {
  const robot::BoardPort& port = robot.port_of(input.port);
  wire::TableEntry e;
  e.kind = static_cast<std::uint8_t>(input.kind);
  e.port = port.index;
  if (input.kind == robot::PointKind::analogue) {
    if (!port.adc_channel) {
      return failure(
          ErrorKind::bad_input, "bind.no-adc-channel",
          fmt::format("port {} of board {} does not say which ADC channel it is", port.name, robot.board.name),
          "give its channel in the board file, as adc = 5");
    }
    e.port = *port.adc_channel;
  }
  const InputScale scale = scale_of(robot, input);
  // The agent negates a reversed encoder's counts itself; an analogue input's fall is in its scale.
  const bool encoder = input.kind == robot::PointKind::encoder;
  if (input.reversed) e.flags |= wire::entry_reversed;
  e.scale = static_cast<float>(encoder ? std::abs(scale.scale) : scale.scale);
  e.offset = static_cast<float>(scale.offset);
  e.unit = static_cast<std::uint8_t>(unit_of(scale.measured));
  if (const auto* contact = robot.device_of(input.device).as<robot::SwitchDevice>()) {
    const bool low_while_operated = contact->normally_closed == port.inverted;
    if (low_while_operated) e.flags |= wire::entry_acts_low;
  }
  return e;
}

Result<wire::TableHeader> header_of(const robot::Robot& robot, UnprovedBounds bounds) {
  const robot::Board& board = robot.board;
  const double volts_per_code = board.logic.in(volts(1)) / std::exp2(board.adc_bits);
  wire::TableHeader h;
  h.program_fp = robot::program_fingerprint(robot);
  h.board_fp = board_fingerprint(board);
  h.unproved_level_permille = static_cast<std::uint16_t>(bounds.max_level_permille);
  h.unproved_duration_ms = static_cast<std::uint16_t>(bounds.max_duration_ms);
  h.unproved_slope_permille_per_ms = static_cast<std::uint16_t>(bounds.max_slope_permille_per_ms);
  h.supply_low_mv = static_cast<std::uint16_t>(std::lround(board.supply_low.in(volts(1)) * 1000.0));
  h.supply_adc = board.supply_adc;
  h.supply_mv_per_raw = static_cast<float>(volts_per_code * board.supply_divider_ratio * 1000.0);
  if (board.banks.size() > wire::max_banks) {
    return failure(ErrorKind::bad_input, "bind.too-many-banks",
                   fmt::format("board {} has {} banks; the controller watches {}", board.name, board.banks.size(),
                               static_cast<int>(wire::max_banks)),
                   "join banks in the board file, or leave those without a current sense out");
  }
  for (std::size_t i = 0; i < board.banks.size(); ++i) {
    const robot::BoardBank& bank = board.banks[i];
    if (!bank.sense_adc) continue;
    // Outputs go off when the sense reads more than the limit, so a code above it must exist.
    const double highest = std::exp2(board.adc_bits) - 1.0;
    const double code = std::round(bank.limit.in(amperes(1)) * bank.sense_volts_per_ampere / volts_per_code);
    if (code >= highest) {
      return failure(ErrorKind::bad_input, "bind.bank-limit-beyond-sense",
                     fmt::format("bank {}'s sense reads up to {:.3g} A; its limit is {:.3g} A", bank.name,
                                 highest * volts_per_code / bank.sense_volts_per_ampere, bank.limit.in(amperes(1))),
                     "state a limit within the sense's range in the board file, or leave its sense_adc out");
    }
    h.banks[i] = {*bank.sense_adc, static_cast<std::uint16_t>(code)};
  }
  return h;
}

template <class Fields>
std::uint32_t check_of(const Fields& fields) {
  std::uint8_t bytes[wire::table_header_bytes];
  wire::Writer to(bytes, sizeof bytes);
  Fields::fields(to, fields);
  RINGOUT_CHECK(to.ok());
  return wire::crc32(bytes, to.size());
}

}  // namespace

bool PointTable::operator==(const PointTable& other) const {
  return encode(*this) == encode(other);
}

Result<PointTable> point_table(const robot::Robot& robot, UnprovedBounds bounds, std::span<const std::string> proved) {
  if (auto names = check_names(robot); !names) return tl::unexpected(names.error());
  auto header = header_of(robot, bounds);
  if (!header) return tl::unexpected(header.error());
  PointTable table{*header, {}};
  for (const auto& output : robot.outputs) table.entries.push_back(entry_of(robot, output, bounds, proved));
  for (const auto& input : robot.inputs) {
    auto entry = entry_of(robot, input);
    if (!entry) return tl::unexpected(entry.error());
    table.entries.push_back(*entry);
  }
  table.header.count = static_cast<std::uint8_t>(table.entries.size());
  table.header.length = wire::table_bytes(table.header.count);
  return table;
}

std::vector<std::uint8_t> encode(const PointTable& table) {
  RINGOUT_CHECK(table.entries.size() <= wire::max_points);
  const auto count = static_cast<std::uint8_t>(table.entries.size());
  std::vector<std::uint8_t> bytes(wire::table_bytes(count));
  const std::uint16_t written = wire::encode_table(table.header, table.entries.data(), count, bytes.data());
  RINGOUT_CHECK(written == bytes.size());
  return bytes;
}

std::optional<PointTable> decode_table(std::span<const std::uint8_t> bytes) {
  if (bytes.size() < wire::table_bytes(0) || bytes.size() > wire::max_table_bytes) return std::nullopt;
  wire::Crc32 check;
  for (const std::uint8_t byte : bytes) check.add(byte);
  if (!check.holds()) return std::nullopt;
  wire::Reader from(bytes.data(), static_cast<std::uint16_t>(bytes.size()));
  PointTable table;
  wire::TableHeader::fields(from, table.header);
  const wire::TableHeader& h = table.header;
  if (h.magic != wire::table_magic || h.layout_version != wire::table_layout_version || h.count > wire::max_points ||
      h.length != bytes.size() || h.length != wire::table_bytes(h.count)) {
    return std::nullopt;
  }
  table.entries.resize(h.count);
  for (auto& entry : table.entries) wire::TableEntry::fields(from, entry);
  return from.ok() ? std::optional(table) : std::nullopt;
}

std::uint32_t table_fingerprint(const PointTable& table) {
  const auto bytes = encode(table);
  return wire::crc32(bytes.data(), static_cast<std::uint16_t>(bytes.size() - wire::table_check_bytes));
}

std::uint32_t entry_fingerprint(const wire::TableEntry& entry) {
  wire::TableEntry unmarked = entry;
  unmarked.flags = static_cast<std::uint8_t>(unmarked.flags & ~static_cast<unsigned>(wire::entry_proved));
  return check_of(unmarked);
}

std::uint32_t board_fingerprint(const robot::Board& board) {
  std::string text = board.name + "\n" + board.chip + "\n";
  for (const auto& port : board.ports) {
    text += fmt::format("{}:{}:{}:{}:{}", port.name, static_cast<int>(port.kind), port.index, port.inverted,
                        static_cast<int>(port.drive));
    for (const auto& pin : port.pins) text += ":" + pin;
    text += "\n";
  }
  wire::Crc32 check;
  for (const char c : text) check.add(static_cast<std::uint8_t>(c));
  return check.value();
}

}  // namespace ringout::bind
