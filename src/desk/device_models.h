// What the catalogue says of a battery, a motor with its mechanism and a protection, in the form that the equations of
// src/physics take. Figures that a catalogue leaves out are filled from published tables, and the basis says so.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "desk/circuit.h"
#include "physics/battery.h"
#include "physics/drive_train.h"
#include "physics/motor_heat.h"
#include "physics/protection_duty.h"
#include "robot/robot.h"

namespace ringout::desk {

// Resistance at a charge and temperature: the rows of the temperature that has most tell how it goes with the charge;
// at each temperature its rows' mean over that is the factor there, and 1 at 25 °C where none states another.
struct BatteryModel {
  std::vector<physics::ChargePoint> open_circuit;
  Resistance internal;  // charged, 25 °C
  std::vector<physics::FactorAtCharge> by_charge;
  std::vector<physics::FactorAtTemperature> by_temperature;
  physics::PeukertRating rating;

  [[nodiscard]] Voltage open_at(double state_of_charge) const;
  [[nodiscard]] Resistance internal_at(double state_of_charge, Temperature t) const;
};
// Resistance at other charges and temperatures: r0·fq·ft. Rows at 25 °C tell fq; every other row tells ft after its fq
// is taken out.
[[nodiscard]] BatteryModel battery_model(const robot::BatteryDevice& device);

// The constants of either kind of row, at 25 °C. Error: physics.motor-row.
[[nodiscard]] Result<physics::MotorFromRow> motor_row(const robot::MotorDevice& device);
// The same with winding and magnets at these temperatures; magnets counted to 150 °C at most, beyond which none of the
// usual ones recovers.
[[nodiscard]] physics::MotorConstants motor_at(const robot::MotorDevice& device, const physics::MotorConstants& cold,
                                               physics::MotorTemperatures now);
// With both at this temperature.
[[nodiscard]] physics::MotorConstants motor_at(const robot::MotorDevice& device, const physics::MotorConstants& cold,
                                               Temperature t);
[[nodiscard]] std::optional<physics::MotorBodies> motor_bodies(const robot::MotorDevice& device, Resistance winding);

[[nodiscard]] physics::Gear gear_of(const robot::Mechanism& mechanism);
[[nodiscard]] physics::Load load_of(const robot::Mechanism& mechanism);
// Motor current that keeps the mechanism turning, by drive_train.h; without a mechanism, the free current.
[[nodiscard]] MechanismCurrent mechanism_current(const physics::MotorConstants& motor,
                                                 const std::optional<robot::Mechanism>& mechanism);

// J = Jm + Jl/(N²·e): rotor and mechanism as the motor feels them while it drives.
[[nodiscard]] Inertia inertia_at_rotor(const robot::MotorDevice& motor,
                                       const std::optional<robot::Mechanism>& mechanism);

struct ProtectionModel {
  Current rating;                           // effective at the ambient
  std::vector<physics::LimitPoint> limits;  // orderly; the first: its rating it carries for ever
  std::string_view basis;                   // the id of desk.h's basis for the limits

  [[nodiscard]] physics::OpeningInterval time_to_open(Current i) const;
};
[[nodiscard]] std::vector<physics::AmbientFactor> derating_of(const robot::ProtectionDevice& device);
// Its rating at this ambient.
[[nodiscard]] Current rating_at(const robot::ProtectionDevice& device, Temperature ambient);
// A table of the catalogue is filled by the law of protection_limits.h. A resettable one without holds at 100 %, and
// has opened after the sheet's longest time at the sheet's current.
[[nodiscard]] ProtectionModel protection_model(const robot::ProtectionDevice& device, Temperature ambient);

}  // namespace ringout::desk
