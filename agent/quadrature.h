// Decoding of two-channel encoders, every edge counted. Channel A is bit 0, channel B bit 1 of a state; the table is
// indexed by (previous << 2) | now. With A leading, 00 -> 01 -> 11 -> 10 -> 00, each step counts +1. Both channels
// changing at once cannot happen in one step: it counts as nothing and is an error (a missed edge).
#pragma once

#include <stdint.h>

namespace ringout {
namespace agent {

constexpr int8_t quadrature_error = 2;

// +1, -1, 0 or quadrature_error for each pair of states, packed as two bits (00 none, 01 +1, 10 -1, 11 error).
constexpr uint32_t quadrature_bits(uint8_t previous, uint8_t now) {
  return previous == now         ? 0u
         : (previous ^ now) == 3 ? 3u
         : previous == 0         ? (now == 1 ? 1u : 2u)
         : previous == 1         ? (now == 3 ? 1u : 2u)
         : previous == 3         ? (now == 2 ? 1u : 2u)
                                 : (now == 0 ? 1u : 2u);
}
constexpr uint32_t quadrature_table(uint8_t index) {
  return index == 16 ? 0u
                     : (quadrature_bits(static_cast<uint8_t>(index >> 2), index & 3) << (2 * index)) |
                           quadrature_table(static_cast<uint8_t>(index + 1));
}

// The change of the count; quadrature_error where an edge was missed.
inline int8_t quadrature_step(uint8_t previous, uint8_t now) {
  static const int8_t meaning[4] = {0, 1, -1, quadrature_error};
  constexpr uint32_t table = quadrature_table(0);
  return meaning[(table >> (2 * ((previous << 2) | now))) & 3];
}

}  // namespace agent
}  // namespace ringout
