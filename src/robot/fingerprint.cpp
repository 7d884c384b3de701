#include "robot/fingerprint.h"

namespace ringout::robot {

// CRC-32/ISO-HDLC: polynomial 0x04C11DB7 reflected, start and final value all ones.
std::uint32_t crc32(std::string_view bytes) {
  std::uint32_t crc = 0xFFFFFFFFU;
  for (const char c : bytes) {
    crc ^= static_cast<unsigned char>(c);
    for (int bit = 0; bit < 8; ++bit) crc = (crc >> 1U) ^ ((crc & 1U) != 0 ? 0xEDB88320U : 0U);
  }
  return crc ^ 0xFFFFFFFFU;
}

std::string program_text(const Robot& robot) {
  std::string text;
  for (const Output& o : robot.outputs) text += o.name + ':' + name_of(o.kind) + '\n';
  for (const Input& i : robot.inputs) text += i.name + ':' + name_of(i.kind) + '\n';
  return text;
}

std::uint32_t program_fingerprint(const Robot& robot) {
  return crc32(program_text(robot));
}

}  // namespace ringout::robot
