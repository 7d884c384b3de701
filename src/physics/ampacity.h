// How much current published tables let a wire carry. Guidance only: local codes and the wire's maker rule, and every
// table holds for its own insulation, bundle and ambient alone. No value is made up between two gauges.
//
//   bundled_105/150/200: FAA AC 43.13-1B CHG 1 Table 11-9, p. 11-23 (read): copper of that insulation class in °C,
//     bundles of 33 and more wires (gauges 24 to 10) at 20 % or less of the harness's capacity, 70 °C ambient, 60 000
//     ft
//   free_air: MIL-W-5088B column as reprinted in Adaptive Power Systems 42L manual p. 67 (read): single wire, 50 °C
//     ambient, 105 °C conductor
//   chassis, transmission: Handbook of Electronic Tables and Formulas, reprinted widely (read in a reprint); the second
//     is the rule of 700 circular mil per ampere
#pragma once

#include <optional>

#include "physics/figure_source.h"
#include "units/quantity.h"

namespace ringout::physics {

enum class AmpacityTable { bundled_105, bundled_150, bundled_200, free_air, chassis, transmission };

struct AmpacityConditions {
  const char* name;
  FigureSource source;
  std::optional<Temperature> conductor;  // at the tabulated current; chassis and transmission state none
  std::optional<Temperature> ambient;
};
[[nodiscard]] AmpacityConditions conditions_of(AmpacityTable table);

// The tabulated current of a gauge; nothing where the table has none.
[[nodiscard]] std::optional<Current> ampacity(AmpacityTable table, int awg);
// For a cross-section: the tabulated current of the largest listed gauge that is not larger (0.2 % for rounded areas);
// nothing below the smallest listed.
[[nodiscard]] std::optional<Current> ampacity(AmpacityTable table, Area conductor);

}  // namespace ringout::physics
