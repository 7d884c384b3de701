// Chance that repeats: numbers drawn by counting, so that any draw depends on seed, stream and count alone, never on
// who asked first. The mixing function is SplitMix64's (G. Steele, D. Lea, C. Flood, OOPSLA 2014; from memory). The
// standard library's distributions are not used because they differ between libraries.
#pragma once

#include <cstdint>

namespace ringout::plant {

[[nodiscard]] constexpr std::uint64_t mixed(std::uint64_t x) {
  x += 0x9E3779B97F4A7C15ULL;
  x = (x ^ (x >> 30)) * 0xBF58476D1CE4E5B9ULL;
  x = (x ^ (x >> 27)) * 0x94D049BB133111EBULL;
  return x ^ (x >> 31);
}

// 64 random bits for draw number `count` of stream `stream` (a stream for each thing that needs chance).
[[nodiscard]] constexpr std::uint64_t bits_of(std::uint64_t seed, std::uint64_t stream, std::uint64_t count) {
  return mixed(mixed(seed ^ (stream * 0xD1342543DE82EF95ULL)) + count * 0x2545F4914F6CDD1DULL);
}

// 0 ≤ u < 1.
[[nodiscard]] constexpr double unit_of(std::uint64_t bits) {
  return static_cast<double>(bits >> 11) * 0x1.0p-53;
}

// Mean 0, standard deviation 1, never beyond ±3.46: the sum of four uniform numbers of 16 bits.
[[nodiscard]] constexpr double bell_of(std::uint64_t bits) {
  const double sum = static_cast<double>((bits & 0xFFFF) + ((bits >> 16) & 0xFFFF) + ((bits >> 32) & 0xFFFF) +
                                         ((bits >> 48) & 0xFFFF));
  return (sum / 65535.0 - 2.0) * 1.7320508075688772;
}

}  // namespace ringout::plant
