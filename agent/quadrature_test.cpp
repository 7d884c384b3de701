#include "agent/quadrature.h"

#include <doctest/doctest.h>

#include <cstdint>

using ringout::agent::quadrature_error;
using ringout::agent::quadrature_step;

// Source: quadrature x4 table, gist cehteh/3c44f46f (mark: read), index (previous << 2) | now.
TEST_CASE("the quadrature table is the published one, all sixteen transitions") {
  const int forward[] = {0b0001, 0b0111, 0b1110, 0b1000};
  const int backward[] = {0b0010, 0b1011, 0b1101, 0b0100};
  const int none[] = {0b0000, 0b0101, 0b1010, 0b1111};
  const int error[] = {0b0011, 0b0110, 0b1001, 0b1100};
  const auto step = [](int index) {
    return static_cast<int>(
        quadrature_step(static_cast<std::uint8_t>(index >> 2), static_cast<std::uint8_t>(index & 3)));
  };
  for (const int i : forward) CHECK_MESSAGE(step(i) == 1, "index " << i);
  for (const int i : backward) CHECK_MESSAGE(step(i) == -1, "index " << i);
  for (const int i : none) CHECK_MESSAGE(step(i) == 0, "index " << i);
  for (const int i : error) CHECK_MESSAGE(step(i) == quadrature_error, "index " << i);
}

TEST_CASE("channel A leading counts up, four counts a line") {
  // A is bit 0: A rises, B rises, A falls, B falls.
  const std::uint8_t a_leads[] = {0, 1, 3, 2, 0};
  int count = 0;
  for (int i = 0; i < 4; ++i) count += quadrature_step(a_leads[i], a_leads[i + 1]);
  CHECK(count == 4);
  for (int i = 4; i > 0; --i) count += quadrature_step(a_leads[i], a_leads[i - 1]);
  CHECK(count == 0);
}
