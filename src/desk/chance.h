// Numbers that look random and repeat on every machine: xoshiro256**, seeded by SplitMix64 (D. Blackman and S. Vigna,
// public domain).
#pragma once

#include <array>
#include <cstdint>

namespace ringout::desk {

class Chance {
 public:
  explicit Chance(std::uint64_t seed) {
    for (std::uint64_t& s : state_) {
      seed += 0x9e3779b97f4a7c15U;
      std::uint64_t z = seed;
      z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9U;
      z = (z ^ (z >> 27U)) * 0x94d049bb133111ebU;
      s = z ^ (z >> 31U);
    }
  }

  // Even over [−1, 1).
  [[nodiscard]] double next() {
    const std::uint64_t result = rotated(state_[1] * 5U, 7) * 9U;
    const std::uint64_t t = state_[1] << 17U;
    state_[2] ^= state_[0];
    state_[3] ^= state_[1];
    state_[1] ^= state_[2];
    state_[0] ^= state_[3];
    state_[2] ^= t;
    state_[3] = rotated(state_[3], 45);
    return static_cast<double>(result >> 11U) * 0x1.0p-52 - 1.0;
  }

 private:
  [[nodiscard]] static std::uint64_t rotated(std::uint64_t x, int by) {
    return (x << static_cast<unsigned>(by)) | (x >> static_cast<unsigned>(64 - by));
  }
  std::array<std::uint64_t, 4> state_{};
};

}  // namespace ringout::desk
