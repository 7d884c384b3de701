// The two checks of the wire.
//   CRC-32/ISO-HDLC:     polynomial 0x04C11DB7 reflected, start 0xFFFFFFFF, final complement; "123456789" -> 0xCBF43926
//   CRC-16/IBM-3740:     polynomial 0x1021, start 0xFFFF ("CCITT-FALSE");                     "123456789" -> 0x29B1
// CRC-32 runs over a table of 16 entries, 64 bytes, which is the best trade on an 8-bit controller.
#pragma once

#include <stdint.h>

#if defined(__AVR__)
#include <avr/pgmspace.h>
#define RINGOUT_CRC_TABLE_MEMORY PROGMEM
#else
#define RINGOUT_CRC_TABLE_MEMORY
#endif

namespace ringout {
namespace wire {

constexpr uint32_t crc32_nibble(uint32_t nibble, int steps) {
  return steps == 0 ? nibble : crc32_nibble((nibble >> 1) ^ ((nibble & 1) ? 0xEDB88320ul : 0ul), steps - 1);
}

// A template so that the one table may stand in a header.
template <class Unused>
struct Crc32Table {
  static const uint32_t entries[16] RINGOUT_CRC_TABLE_MEMORY;
  static uint32_t at(uint8_t i) {
#if defined(__AVR__)
    return pgm_read_dword(&entries[i]);
#else
    return entries[i];
#endif
  }
};
template <class Unused>
const uint32_t Crc32Table<Unused>::entries[16] RINGOUT_CRC_TABLE_MEMORY = {
    crc32_nibble(0, 4),  crc32_nibble(1, 4),  crc32_nibble(2, 4),  crc32_nibble(3, 4),
    crc32_nibble(4, 4),  crc32_nibble(5, 4),  crc32_nibble(6, 4),  crc32_nibble(7, 4),
    crc32_nibble(8, 4),  crc32_nibble(9, 4),  crc32_nibble(10, 4), crc32_nibble(11, 4),
    crc32_nibble(12, 4), crc32_nibble(13, 4), crc32_nibble(14, 4), crc32_nibble(15, 4)};

class Crc32 {
 public:
  void add(uint8_t byte) {
    register_ ^= byte;
    register_ = Crc32Table<void>::at(register_ & 0x0F) ^ (register_ >> 4);
    register_ = Crc32Table<void>::at(register_ & 0x0F) ^ (register_ >> 4);
  }
  uint32_t value() const { return ~register_; }
  // True after the bytes and then their own check, low byte first.
  bool holds() const { return register_ == 0xDEBB20E3ul; }

 private:
  uint32_t register_ = 0xFFFFFFFFul;
};

class Crc16 {
 public:
  void add(uint8_t byte) {
    uint8_t x = static_cast<uint8_t>((register_ >> 8) ^ byte);
    x = static_cast<uint8_t>(x ^ (x >> 4));
    const uint16_t wide = x;
    register_ = static_cast<uint16_t>((register_ << 8) ^ (wide << 12) ^ (wide << 5) ^ wide);
  }
  uint16_t value() const { return register_; }

 private:
  uint16_t register_ = 0xFFFF;
};

inline uint32_t crc32(const uint8_t* bytes, uint16_t size) {
  Crc32 crc;
  for (uint16_t i = 0; i < size; ++i) crc.add(bytes[i]);
  return crc.value();
}

inline uint16_t crc16(const uint8_t* bytes, uint16_t size) {
  Crc16 crc;
  for (uint16_t i = 0; i < size; ++i) crc.add(bytes[i]);
  return crc.value();
}

}  // namespace wire
}  // namespace ringout
