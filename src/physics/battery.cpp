#include "physics/battery.h"

#include "base/check.h"

namespace ringout::physics {

Voltage open_circuit(std::span<const ChargePoint> table, double state_of_charge) {
  RINGOUT_CHECK(!table.empty());
  if (state_of_charge <= table.front().state_of_charge) return table.front().open_circuit;
  for (std::size_t n = 1; n < table.size(); ++n) {
    const ChargePoint& low = table[n - 1];
    const ChargePoint& high = table[n];
    if (state_of_charge > high.state_of_charge) continue;
    const double share = (state_of_charge - low.state_of_charge) / (high.state_of_charge - low.state_of_charge);
    return low.open_circuit + (high.open_circuit - low.open_circuit) * share;
  }
  return table.back().open_circuit;
}

Voltage terminal_voltage(Voltage emf, Resistance internal, Current discharge) {
  return emf - internal * discharge;
}

Current current_into(Voltage emf, Resistance internal, Resistance load) {
  RINGOUT_CHECK((internal + load).si > 0.0);
  return emf / (internal + load);
}

Resistance internal_resistance(Voltage open, Voltage loaded, Resistance load) {
  RINGOUT_CHECK(loaded.si > 0.0);
  return load * ((open - loaded) / loaded);
}

}  // namespace ringout::physics
