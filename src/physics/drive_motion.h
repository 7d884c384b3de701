// A drive train between two speeds: starting, coasting, braking, falling. Winding inductance neglected (see
// step_response.h with it): good where L/R is well below the mechanical time constant.
//
//   (N²·Jm + e·Jl)·dω/dt = N·k·(I − s·I0) − e·M(ω)        M, e, s, R as in drive_train.h
//   driven: I = (d·E − k·N·ω)/R      braked: the motor shorted, I = −k·N·ω/R'      coasting: I = 0
//   R' = winding + driver + leads
//
// Between two events this is dω/dt = a − b·ω: solved in closed form, ω(t) = ω∞ + (ω0 − ω∞)·e^(−b·t). The gear passes
// on Jl·dω/dt + M, whose sign decides e; it changes at most once on the way, and both pieces are exact.
// Range: inertias ≥ 0 and not both 0; otherwise as in drive_train.h. Source: Newton's law at the output shaft.
#pragma once

#include <optional>

#include "physics/drive_train.h"

namespace ringout::physics {

struct MovingDrive {
  DriveTrain train;
  Inertia rotor;  // Jm, at the motor's shaft
  Inertia load;   // Jl, at the output shaft, all that moves with it
};

struct Run {
  Time time;
  Angle angle;         // signed, at the output
  AngularSpeed ended;  // signed
};

enum class Unpowered { coast, brake };

// From rest to `fraction` (0 < f < 1) of the settled speed; nothing when it does not start.
[[nodiscard]] std::optional<Run> start_up(const MovingDrive& m, Drive drive, double fraction);
// Speed and way after `t` of this drive from rest.
[[nodiscard]] Run after(const MovingDrive& m, Drive drive, Time t);

// From this output speed to standstill with the drive off; nothing when the load keeps it moving (a lift going down).
// A lift on the way up stops and may then fall: see lift_figures.
[[nodiscard]] std::optional<Run> stop(const MovingDrive& m, AngularSpeed from, Unpowered how);
// The first and greatest current of braking, −k·N·ω/R'.
[[nodiscard]] Current braking_current(const DriveTrain& t, AngularSpeed from);

enum class WhenCut { stays, falls };

// A weight that hangs on the drive (t.load.weight ≠ 0). Currents of the motor, signed like duty.
struct LiftFigures {
  Current lets_go_below;  // least current that keeps it from falling, friction helping; 0 where it stays by itself
  Current frictionless;   // weight/(N·k): what the textbook calls holding current
  Current rises_above;    // it stays still from lets_go_below up to here
  WhenCut when_cut = WhenCut::stays;
  // Settled speed of the fall as output speed (signed); coasting has none where nothing but Coulomb friction acts.
  std::optional<AngularSpeed> fall_coasting;
  AngularSpeed fall_braked;
};
// lets_go_below = (η_back·(W − F)/N)/k − I0, rises_above = ((W + F)/(η·N))/k + I0, for W > 0; mirrored for W < 0.
// It falls when cut if η_back·(W − F) > N·k·I0. A braked motor does not hold at rest, it only slows the fall.
[[nodiscard]] LiftFigures lift_figures(const DriveTrain& t);

}  // namespace ringout::physics
