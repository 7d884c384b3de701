// SPDX-License-Identifier: GPL-3.0-or-later
// Edges of quadrature encoders that turn at a steady rate; for tests and the bench.
#pragma once

#include <algorithm>
#include <array>
#include <utility>
#include <vector>

#include "emulator/chip.h"

namespace ringout::emulator {

// Channels A and B of the six encoders of the first board.
constexpr std::array<std::pair<Pin, Pin>, 6> encoder_pins{{{{'B', 0}, {'B', 1}},
                                                           {{'B', 2}, {'B', 3}},
                                                           {{'B', 4}, {'B', 5}},
                                                           {{'B', 6}, {'B', 7}},
                                                           {{'E', 5}, {'E', 6}},
                                                           {{'E', 7}, {'D', 2}}}};

class TurningEncoders {
 public:
  // All pins low at the start. Encoder i turns forward for even i, backward for odd i, out of step with the others.
  TurningEncoders(Cycles start, Cycles cycles_per_edge) : per_edge_(cycles_per_edge) {
    for (std::size_t i = 0; i < next_.size(); ++i) next_[i] = start + cycles_per_edge * (i + 1) / next_.size();
  }

  // All edges before `end`, in time order.
  [[nodiscard]] std::vector<PinEdge> until(Cycles end) {
    std::vector<PinEdge> edges;
    for (std::size_t i = 0; i < next_.size(); ++i) {
      for (; next_[i] < end; next_[i] += per_edge_) edges.push_back(edge(i));
    }
    std::stable_sort(edges.begin(), edges.end(), [](const PinEdge& a, const PinEdge& b) { return a.at < b.at; });
    return edges;
  }
  [[nodiscard]] int position(std::size_t encoder) const { return position_[encoder]; }

 private:
  PinEdge edge(std::size_t i) {
    const bool forward = i % 2 == 0;
    position_[i] += forward ? 1 : -1;
    const int phase = position_[i] & 3;  // A: high in 1 and 2, B: high in 2 and 3
    const bool moves_a = forward ? (phase == 1 || phase == 3) : (phase == 0 || phase == 2);
    const bool level = moves_a ? (phase == 1 || phase == 2) : (phase == 2 || phase == 3);
    return {next_[i], moves_a ? encoder_pins[i].first : encoder_pins[i].second, level};
  }

  Cycles per_edge_;
  std::array<Cycles, 6> next_{};
  std::array<int, 6> position_{};
};

}  // namespace ringout::emulator
