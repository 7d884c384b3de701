#include "wire/crc.h"

#include <doctest/doctest.h>

#include <cstdint>
#include <cstring>
#include <vector>

using namespace ringout;

namespace {

const std::uint8_t* digits() {
  return reinterpret_cast<const std::uint8_t*>("123456789");
}

// The definition, bit by bit, to hold the fast forms against.
std::uint32_t slow_crc32(const std::vector<std::uint8_t>& bytes) {
  std::uint32_t r = 0xFFFFFFFF;
  for (const std::uint8_t byte : bytes) {
    r ^= byte;
    for (int i = 0; i < 8; ++i) r = (r & 1) != 0 ? (r >> 1) ^ 0xEDB88320U : r >> 1;
  }
  return ~r;
}
std::uint16_t slow_crc16(const std::vector<std::uint8_t>& bytes) {
  std::uint16_t r = 0xFFFF;
  for (const std::uint8_t byte : bytes) {
    for (int i = 7; i >= 0; --i) {
      const bool feed = ((r >> 15) & 1) != ((byte >> i) & 1);
      r = static_cast<std::uint16_t>(r << 1);
      if (feed) r ^= 0x1021;
    }
  }
  return r;
}

}  // namespace

TEST_CASE("both checks give the published values of \"123456789\"") {
  // CRC-32/ISO-HDLC 0xCBF43926, empty 0: docs.rs wire-codec (mark: read, recomputed)
  CHECK(wire::crc32(digits(), 9) == 0xCBF43926);
  CHECK(wire::crc32(digits(), 0) == 0);
  // CRC-16/IBM-3740 ("CCITT-FALSE") 0x29B1: docs.rs donglora-protocol (mark: read, recomputed)
  CHECK(wire::crc16(digits(), 9) == 0x29B1);
}

TEST_CASE("the fast forms agree with the definition, byte by byte, for every byte value") {
  std::vector<std::uint8_t> bytes;
  for (int i = 0; i < 600; ++i) {
    bytes.push_back(static_cast<std::uint8_t>(i * 73 + i / 256));
    const auto size = static_cast<std::uint16_t>(bytes.size());
    REQUIRE(wire::crc32(bytes.data(), size) == slow_crc32(bytes));
    REQUIRE(wire::crc16(bytes.data(), size) == slow_crc16(bytes));
  }
}

TEST_CASE("bytes followed by their own CRC-32 hold, and with any one bit changed they do not") {
  std::uint8_t bytes[13];
  std::memcpy(bytes, digits(), 9);
  const std::uint32_t check = wire::crc32(bytes, 9);
  for (int i = 0; i < 4; ++i) bytes[9 + i] = static_cast<std::uint8_t>(check >> (8 * i));
  const auto holds = [&] {
    wire::Crc32 crc;
    for (const std::uint8_t b : bytes) crc.add(b);
    return crc.holds();
  };
  CHECK(holds());
  for (std::size_t bit = 0; bit < 8 * sizeof bytes; ++bit) {
    bytes[bit / 8] = static_cast<std::uint8_t>(bytes[bit / 8] ^ (1U << (bit % 8)));
    CHECK_FALSE(holds());
    bytes[bit / 8] = static_cast<std::uint8_t>(bytes[bit / 8] ^ (1U << (bit % 8)));
  }
}
