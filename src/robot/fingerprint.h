// Two fingerprints: of the program's names and kinds (here), and of the point table's content, which is everything the
// agent enforces (where the table is encoded). A comment, a wire's length or a device's description changes neither.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "robot/robot.h"

namespace ringout::robot {

// The canonical text: names and kinds of all points, outputs first, each in the robot file's order, which is the order
// of the points' indices: "name:kind\n" each, kinds as name_of(PointKind) writes them. UTF-8, line feeds only.
//   lift:bridge motor
//   lift_top:switch
[[nodiscard]] std::string program_text(const Robot& robot);

// CRC-32/ISO-HDLC of the canonical text.
[[nodiscard]] std::uint32_t program_fingerprint(const Robot& robot);

// CRC-32/ISO-HDLC as the wire uses it; crc32("123456789") is 0xCBF43926.
[[nodiscard]] std::uint32_t crc32(std::string_view bytes);

}  // namespace ringout::robot
