// Ohmmeter readings of a still motor: the brushes sit where they sit, so readings spread upwards by several to one.
// The lower quartile of readings at several rotor angles is the estimate; the mean is pulled up by bad contacts.
//
//   quartile p of n sorted readings: linear between ranks, position p·(n − 1)
//
// At least three readings, the rotor turned between them; never on a live circuit. Source: fifty readings of one motor,
// UNLV DASL wiki (read), 6.4 … 31.3 Ω around a mean of 12.5.
#pragma once

#include <span>

#include "units/quantity.h"

namespace ringout::physics {

struct ReadingSummary {
  Resistance lower_quartile;
  Resistance median;
  Resistance mean;
  Resistance least;
  Resistance greatest;
};
// One reading or more, all ≥ 0.
[[nodiscard]] ReadingSummary summary_of(std::span<const Resistance> readings);

}  // namespace ringout::physics
