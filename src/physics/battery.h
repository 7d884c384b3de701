// The battery as a source of voltage behind a resistance: U = E − r·I, discharge current positive.
#pragma once

#include <span>

#include "units/quantity.h"

namespace ringout::physics {

// One point of an open-circuit table; tables differ between makers by tenths of a volt at the same charge, so name the
// table with every answer taken from it.
struct ChargePoint {
  double state_of_charge;  // 0 … 1
  Voltage open_circuit;
};

// Linear between points, held beyond the ends. At least one point, charge rising.
[[nodiscard]] Voltage open_circuit(std::span<const ChargePoint> table, double state_of_charge);

// U = E − r·I.
[[nodiscard]] Voltage terminal_voltage(Voltage emf, Resistance internal, Current discharge);
// I = E/(r + R), for a resistive load R > 0.
[[nodiscard]] Current current_into(Voltage emf, Resistance internal, Resistance load);
// r = (E − U)/I = R·(E − U)/U from an open reading and one across a known load; U > 0. Short loads only: charge
// used and polarisation count as resistance otherwise.
[[nodiscard]] Resistance internal_resistance(Voltage open, Voltage loaded, Resistance load);

}  // namespace ringout::physics
