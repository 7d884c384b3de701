// The two checks of the wire.
//   CRC-32/ISO-HDLC: polynomial 0x04C11DB7 reflected, start 0xFFFFFFFF, complemented at the end; of "123456789":
//                    0xCBF43926.
//   CRC-16/IBM-3740: polynomial 0x1021, start 0xFFFF; of "123456789": 0x29B1.
// CRC-32 runs over a table of 256 entries, 1 KB of flash: on an 8-bit controller a third of the time of a table of 16,
// and the check is most of what a frame costs there.
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

struct Crc32Entries {
  uint32_t of[256];
};

constexpr Crc32Entries crc32_entries() {
  Crc32Entries entries{};
  for (uint16_t byte = 0; byte < 256; ++byte) {
    uint32_t value = byte;
    for (uint8_t bit = 0; bit < 8; ++bit) value = (value >> 1) ^ ((value & 1) ? 0xEDB88320ul : 0ul);
    entries.of[byte] = value;
  }
  return entries;
}

// A template so that the one table may stand in a header.
template <class Unused>
struct Crc32Table {
  static const Crc32Entries entries RINGOUT_CRC_TABLE_MEMORY;
  static uint32_t at(uint8_t i) {
#if defined(__AVR__)
    return pgm_read_dword(&entries.of[i]);
#else
    return entries.of[i];
#endif
  }
};
template <class Unused>
const Crc32Entries Crc32Table<Unused>::entries RINGOUT_CRC_TABLE_MEMORY = crc32_entries();

class Crc32 {
 public:
  void add(uint8_t byte) {
    const uint8_t index = static_cast<uint8_t>(register_ ^ byte);
    register_ = Crc32Table<void>::at(index) ^ (register_ >> 8);
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
