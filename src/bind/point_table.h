// The point table of a robot: ports, signs, scales, limits and end switches of all its points, as the controller
// carries and enforces them (wire/point_table.h has the bytes).
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/result.h"
#include "robot/robot.h"
#include "wire/point_table.h"

namespace ringout::bind {

// Bounds for a port on which nothing is proved yet: safe for any device of the robot, either way round.
struct UnprovedBounds {
  int max_level_permille = 0;
  int max_duration_ms = 0;
  int max_slope_permille_per_ms = 0;
};

struct PointTable {
  wire::TableHeader header;
  std::vector<wire::TableEntry> entries;  // outputs first, each in the robot file's order

  bool operator==(const PointTable& other) const;
};

// Levels of a proved motor change at most by this much a millisecond: full speed in a tenth of a second, which keeps
// the supply's sag at starting below that of a hard start; by more where the bounds for unproved ports allow more.
constexpr int motor_slope_permille_per_ms = 10;
// A travel bound stands this share of the travel before each hard stop.
constexpr double travel_inset = 0.02;

// `proved` names the outputs whose own bounds may hold. Errors: as check_names; bind.no-adc-channel,
// bind.too-many-banks, bind.bank-limit-beyond-sense (the sense could never read more than the limit).
[[nodiscard]] Result<PointTable> point_table(const robot::Robot& robot, UnprovedBounds bounds,
                                             std::span<const std::string> proved = {});

[[nodiscard]] std::vector<std::uint8_t> encode(const PointTable& table);
// Empty where magic, version, length, count or check is not as it must be.
[[nodiscard]] std::optional<PointTable> decode_table(std::span<const std::uint8_t> bytes);

// The table's own check (CRC-32 of all bytes before it).
[[nodiscard]] std::uint32_t table_fingerprint(const PointTable& table);
// CRC-32 of one entry without its "proved" mark: changes exactly when something enforced on that point changes.
[[nodiscard]] std::uint32_t entry_fingerprint(const wire::TableEntry& entry);
// CRC-32 of the board's name, chip and ports (kind, index, inversion, drive, pins): what a firmware is built for.
[[nodiscard]] std::uint32_t board_fingerprint(const robot::Board& board);

// A table as text for people: one row a point.
[[nodiscard]] std::string table_text(const robot::Robot& robot, const PointTable& table);

}  // namespace ringout::bind
