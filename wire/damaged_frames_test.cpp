// How much the check lets through: 10^8 damaged frames whose check is cut to 8 bits must be let through at one in 256
// within the statistical error (so that the test is known to be able to fail), and of 10^8 with the whole check none.
//
// How frames are damaged: a valid frame of type, tag, 8 random payload bytes and its check, as it stands before COBS,
// is damaged in one of three ways by turns: 4 to 8 bytes at random places overwritten by random values; 4 bytes or more
// in a row overwritten; two bytes exchanged and 4 to 6 overwritten. Places may coincide and values may be the same as
// before; a frame that comes out as it went in is not counted. Damage that a CRC finds for certain (one or two bits, a
// burst shorter than the check) is left out: it would only make the figures better. The shipping Crc32 judges.
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstring>

#include "wire/crc.h"

namespace {

using namespace ringout;

constexpr unsigned covered = 10;  // type, tag, payload
constexpr std::uint64_t wanted = 100'000'000;

// xorshift64*: fast enough not to be what is measured.
struct Chance {
  std::uint64_t state;
  std::uint64_t next() {
    state ^= state >> 12;
    state ^= state << 25;
    state ^= state >> 27;
    return state * 0x2545F4914F6CDD1DULL;
  }
};

unsigned below(std::uint64_t bits, unsigned count) {
  return static_cast<unsigned>((bits & 0xFFFF) * count >> 16);
}

void overwrite_places(std::uint8_t* frame, unsigned size, unsigned count, Chance& chance) {
  std::uint64_t places = chance.next();
  std::uint64_t values = chance.next();
  for (unsigned i = 0; i < count; ++i) {
    frame[(places & 0xFF) * size >> 8] = static_cast<std::uint8_t>(values);
    places >>= 8;
    values >>= 8;
  }
}

void damage(std::uint8_t* frame, unsigned size, Chance& chance, unsigned kind) {
  const std::uint64_t bits = chance.next();
  if (kind == 0) return overwrite_places(frame, size, 4 + below(bits, 5), chance);
  if (kind == 1) {
    const unsigned length = 4 + below(bits, size - 3);
    const unsigned from = below(bits >> 16, size - length + 1);
    const std::uint64_t values[2] = {chance.next(), chance.next()};
    std::memcpy(frame + from, values, length);
    return;
  }
  const unsigned a = below(bits >> 16, size);
  const unsigned b = below(bits >> 32, size);
  const std::uint8_t kept = frame[a];
  frame[a] = frame[b];
  frame[b] = kept;
  overwrite_places(frame, size, 4 + below(bits, 3), chance);
}

// Number of damaged frames that a check of so many bytes lets through.
std::uint64_t let_through(unsigned check_bytes, std::uint64_t seed) {
  Chance chance{seed};
  const unsigned size = covered + check_bytes;
  std::uint8_t sound[covered + 4] = {};
  std::uint8_t frame[covered + 4] = {};
  std::uint64_t through = 0;
  std::uint64_t damaged = 0;
  for (std::uint64_t n = 0; damaged < wanted; ++n) {
    if (n % 15 == 0) {  // a new frame; fifteen damages are done to each
      const std::uint64_t head = chance.next();
      const std::uint64_t tail = chance.next();
      std::memcpy(sound, &head, 8);
      std::memcpy(sound + 8, &tail, 2);
      const std::uint32_t check = wire::crc32(sound, covered);
      for (unsigned i = 0; i < check_bytes; ++i) sound[covered + i] = static_cast<std::uint8_t>(check >> (8 * i));
    }
    std::memcpy(frame, sound, sizeof frame);
    damage(frame, size, chance, static_cast<unsigned>(n % 3));
    if (std::memcmp(frame, sound, size) == 0) continue;
    ++damaged;
    const std::uint32_t check = wire::crc32(frame, covered);
    bool passes = true;
    for (unsigned i = 0; i < check_bytes; ++i) {
      passes = passes && frame[covered + i] == static_cast<std::uint8_t>(check >> (8 * i));
    }
    through += passes ? 1 : 0;
  }
  return through;
}

}  // namespace

int main() {
  const std::uint64_t by_8_bits = let_through(1, 0x9E3779B97F4A7C15ULL);
  const double expected = static_cast<double>(wanted) / 256.0;
  const double deviation = (static_cast<double>(by_8_bits) - expected) / std::sqrt(expected * 255.0 / 256.0);
  std::printf("of %llu damaged frames with 8 bits of check: let through %llu, expected %.0f, off by %+.2f sigma\n",
              static_cast<unsigned long long>(wanted), static_cast<unsigned long long>(by_8_bits), expected, deviation);
  const std::uint64_t by_whole = let_through(4, 0xD1B54A32D192ED03ULL);
  std::printf("of %llu damaged frames with the whole check: let through %llu\n",
              static_cast<unsigned long long>(wanted), static_cast<unsigned long long>(by_whole));
  return std::fabs(deviation) <= 4.0 && by_whole == 0 ? 0 : 1;
}
