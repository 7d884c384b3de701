#include <algorithm>

#include "base/check.h"
#include "desk/desk.h"

namespace ringout::desk {

const std::vector<Basis>& all_bases() {
  static const std::vector<Basis> all = {
      {"case.network",
       "settled direct or averaged currents; both leads of a wire in one resistance, a connector counted twice; "
       "copper, windings and magnets at the ambient temperature; a supply capacitor carries the chopping ripple",
       "Kirchhoff's laws"},
      {"case.stalled",
       "held still with winding and magnets at the case's ambient: the most current it takes, for the first seconds; "
       "the torque of a hot motor is less, and given beside",
       "U = R*I + k*speed"},
      {"case.start", "a motor at the moment it starts draws what it draws held still", "U = R*I + k*speed"},
      {"case.supply_current",
       "a chopping driver takes level times motor current from the supply: the same power on both sides",
       "conservation of power"},
      {"case.on_off",
       "an on/off device as a resistance of nominal voltage over nominal current, warm, after its inrush", "Ohm's law"},
      {"case.board",
       "the controller, sensors, servos and lights draw a fixed current through a linear regulator; a servo that is on "
       "takes its stall current, because its sheet gives no other",
       "catalogue"},
      {"case.drives",
       "drive motors are those whose mechanism turns without end and has a radius, two or more of one device",
       "the robot file"},
      {"battery.voltage",
       "settled open-circuit voltage at the stated charge behind a resistance; no recovery of minutes",
       "catalogue; U = E - r*I"},
      {"battery.run_time",
       "each step's current between a battery as stated and one nearly empty that of a fixed current and a "
       "conductance or a fixed power; charge counted with Peukert's exponent, one temperature, no self-discharge; "
       "motors at ambient, which warm ones exceed by a little; ends at the cutoff or where the controller would "
       "reach its low level in the heaviest step",
       "Peukert's law as in battery monitor manuals (Xantrex Link 20, p. 26, read)"},
      {"wire.limit.bundled",
       "bundled wire, gauge's current moved to the insulation's class and the hottest ambient of robot and load cases; "
       "for harnesses of many wires used to a fifth of their capacity; insulation not stated counts as 70 °C; "
       "guidance only, local codes and the maker rule",
       "FAA AC 43.13-1B table 11-9, p. 11-23 (read)"},
      {"wire.limit.free",
       "single wire in free air, gauge's current moved to the insulation's class and the hottest ambient; insulation "
       "not stated counts as 70 °C; guidance only, local codes and the maker rule",
       "MIL-W-5088B column as reprinted in Adaptive Power Systems 42L manual, p. 67 (read)"},
      {"trip.catalogue", "from cold, constant current; limits at the stated multiples only, never interpolated",
       "the device's own limits in the catalogue"},
      {"trip.blade", "from cold, constant current; limits at the stated multiples only, never interpolated",
       "limits of automotive blade fuses as transcribed by others (read second hand): use the maker's sheet"},
      {"trip.breaker", "from cold, constant current; limits at the stated multiples only, never interpolated",
       "SAE J553 as recalled (from memory, not seen): use the maker's sheet"},
      {"trip.resettable",
       "from cold, still air; holds at its hold current, has opened after the stated time at the stated current; "
       "between the two no sheet says when",
       "catalogue"},
      {"trip.profile",
       "two heated elements, one faster and one slower than any specimen within the limits; first-order heating",
       "dx/dt = ((I/Ib)^2 - x)/tau"},
      {"motor.row", "one constant k for torque and speed, the geometric mean of both where a sheet contradicts itself",
       "U = R*I + k*speed, torque = k*(I - I0)"},
      {"motor.start",
       "from rest at the highest level against its own load, everything that the current runs through in one "
       "resistance; evenly at the driver's limit, from there as the voltage lets it; the winding's inductance left out",
       "J*acceleration = k*(I - Iload) - viscous*speed, I = min(limit, (U - k*speed)/R), in closed form"},
      {"motor.stalled_heat",
       "held still at the current of the motor at ambient, copper's loss growing with its temperature: the shortest "
       "time; cold from the ambient, warm from the hottest winding and the housing of the duty cycle that settles "
       "hottest",
       "two-body thermal network; Portescap catalogue V012024, p. 225 (steady form, read)"},
      {"motor.hot",
       "torque held still: winding and magnets at the winding's limit; current and power of the same motor at ambient, "
       "where they are greatest",
       "copper (234.5 + t)/(234.5 + 25); magnets by the catalogue's coefficient, to 150 °C at most"},
      {"motor.heat",
       "winding and housing as two bodies, copper's loss growing with its temperature; the larger current of a motor "
       "at ambient and one at the temperatures at which the cycle settles, magnets as warm as the housing: an upper "
       "bound while it warms up; mounted in still air as its sheet has it",
       "two-body thermal network; Portescap catalogue V012024, p. 225 (steady form, read)"},
      {"spread",
       "worst case: each tolerance by itself and even over its range; the interval holds 95 % of the draws; drivers by "
       "rank correlation",
       "Monte Carlo; Spearman's rank correlation"},
      {"ranges",
       "every other figure: worked out anew with each tolerance alone at both its ends, straight lines between, "
       "their sum drawn like the worst case; what two tolerances do together beyond their sum is left out; drivers by "
       "share of variance",
       "additive response surface; Monte Carlo"},
  };
  return all;
}

const Basis& basis_of(std::string_view id) {
  const auto at = std::find_if(all_bases().begin(), all_bases().end(), [&](const Basis& b) { return b.id == id; });
  RINGOUT_CHECK(at != all_bases().end());
  return *at;
}

}  // namespace ringout::desk
