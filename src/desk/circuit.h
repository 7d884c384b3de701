// The supply as a circuit of direct (or averaged) currents: nodes, and elements between them. Node 0 is the supply's
// return; both leads of a wire stand in one resistance. Numbers only; what each element is of the robot is said in
// robot_circuit.h.
//
// A load behind a chopping driver is drawn as the supply sees it. With level d, supply voltage V at its node and motor
// current I:
//   u = d·V = R·I + k·ω      supply current d·I      (the same power on both sides: V·d·I = u·I)
// R is everything that the motor current runs through: winding, driver, wire, connectors. Holds for averaged currents:
// ripple small against the mean, freewheeling without loss beyond R.
#pragma once

#include <cstdint>
#include <limits>
#include <vector>

#include "units/quantity.h"

namespace ringout::desk {

using NodeIndex = std::uint32_t;
constexpr NodeIndex ground = 0;

using CurrentPerSpeed = Quantity<0, 0, 1, 1, 0, -1>;

// emf behind a resistance, its negative end at ground. internal > 0.
struct Source {
  NodeIndex node = ground;
  Voltage emf = {};
  Resistance internal = {};
};

struct Resistor {
  NodeIndex from = ground;
  NodeIndex to = ground;
  Resistance resistance = {};  // > 0
};

// Draws a fixed current to ground whatever its voltage: a linear regulator, a controller at idle.
struct CurrentLoad {
  NodeIndex node = ground;
  Current current = {};
};

// The motor current that keeps the mechanism turning: `steady + rising·ω`.
struct RunningCurrent {
  Current steady = {};
  CurrentPerSpeed rising = {};  // ≥ 0
};

// What the mechanism asks for, at the rotor. Between the two steady currents it stands still: back.steady ≤
// forward.steady. back.steady > 0: the load turns the motor backward when no current holds it.
struct MechanismCurrent {
  RunningCurrent forward = {};  // ω > 0
  RunningCurrent back = {};     // ω < 0
};

enum class SpeedIs {
  given,  // turned at `speed` whatever the level; 0: stalled
  found,  // where the motor's torque equals the mechanism's
  held,   // a controller takes what level `speed` needs against the mechanism, at most `level`; else as found
};

struct ChoppedLoad {
  NodeIndex node = ground;
  double level = 1.0;    // fraction of the supply, −1 … 1; sign as the mechanism's positive
  Resistance loop = {};  // > 0
  MotorConstant k = {};  // 0: nothing turns (lamp, valve, pump as a resistance)
  SpeedIs speed_is = SpeedIs::given;
  AngularSpeed speed = {};  // of the rotor
  MechanismCurrent mechanism = {};
  Current limit = {std::numeric_limits<double>::infinity()};  // the driver lowers its level to keep to it
};

struct Circuit {
  std::uint32_t nodes = 1;  // ground included
  std::vector<Source> sources;
  std::vector<Resistor> resistors;
  std::vector<CurrentLoad> current_loads;
  std::vector<ChoppedLoad> chopped_loads;

  NodeIndex add_node() { return nodes++; }
};

enum class Regime {
  off,              // level 0
  given_speed,      // as given
  standing,         // its torque does not move the load
  running,          // at the full level asked for
  held_speed,       // at the speed asked for
  current_limited,  // the driver holds the current at its limit
};

// A chopped load at a supply voltage.
struct LoadState {
  Regime regime = Regime::off;
  Voltage motor = {};           // u, across `loop` and the motor
  Current current = {};         // of the motor
  AngularSpeed speed = {};      // of the rotor
  Current supply_current = {};  // drawn from the node
  double conductance = 0;       // d(supply current)/d(supply voltage), A/V; below 0 where the power is fixed
};

// The state at V. One value for every V, and the supply current is continuous in V.
[[nodiscard]] LoadState load_at(const ChoppedLoad& load, Voltage v);

}  // namespace ringout::desk
