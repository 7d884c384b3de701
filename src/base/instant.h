// Time as the core sees it: handed in, never asked for. Integers, so that sums are exact and runs repeat.
#pragma once

#include <compare>
#include <cstdint>

namespace ringout {

// A length of time in whole nanoseconds.
struct Duration {
  std::int64_t ns = 0;

  [[nodiscard]] static constexpr Duration nanoseconds(std::int64_t n) { return {n}; }
  [[nodiscard]] static constexpr Duration microseconds(std::int64_t n) { return {n * 1'000}; }
  [[nodiscard]] static constexpr Duration milliseconds(std::int64_t n) { return {n * 1'000'000}; }
  [[nodiscard]] static constexpr Duration seconds(double s) { return {static_cast<std::int64_t>(s * 1e9)}; }
  [[nodiscard]] constexpr double in_seconds() const { return static_cast<double>(ns) * 1e-9; }
  [[nodiscard]] constexpr double in_milliseconds() const { return static_cast<double>(ns) * 1e-6; }

  auto operator<=>(const Duration&) const = default;
  constexpr Duration operator+(Duration other) const { return {ns + other.ns}; }
  constexpr Duration operator-(Duration other) const { return {ns - other.ns}; }
  constexpr Duration operator*(std::int64_t factor) const { return {ns * factor}; }
};

// A moment on one clock; moments of different clocks are not to be compared (each link has its own).
struct Instant {
  std::int64_t ns = 0;

  auto operator<=>(const Instant&) const = default;
  constexpr Instant operator+(Duration d) const { return {ns + d.ns}; }
  constexpr Instant operator-(Duration d) const { return {ns - d.ns}; }
  constexpr Duration operator-(Instant other) const { return {ns - other.ns}; }
};

}  // namespace ringout
