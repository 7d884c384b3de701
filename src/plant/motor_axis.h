// One motor with its gear and mechanism, stepped in time. Everything is seen at the gearbox's output shaft:
//
//   L·di/dt + R·i + K·c(x)·ω = u                                  K = N·k; c: commutation ripple, 1 ± a few per cent
//   (Jm + e·Jl)·dω/dt = K·c(x)·i − B·ω − s·F(ω) − e·G − dU/dx     engaged; s = sign of ω; e: gear loss
//   Jm·dωm/dt = K·c·i − Bm·ωm − sm·Fm − dU/dx,  Jl·dωl/dt = −Bl·ωl − sl·Fl − G      while the backlash is open
//
// F(ω) = Fc·(1 + 0.3/(1 + (ω/ωs)²)): Coulomb friction with a Stribeck fall from the breakaway value (Lorentzian form).
// U(x): cogging potential of the rotor. G: torque of the weight (positive: opposes positive travel). e = 1/η where the
// motor drives the load, 2 − 1/η where the load drives the motor (not below 0; a self-locking gear has 0).
// Integration: exponential for the current with speed held at its mean, implicit midpoint for the speed; both together
// balance energy to rounding and are of second order in the step. Contacts (backlash closing, hard stops, coming to
// rest) are events found within the step; contact is rigid and wholly inelastic, its lost energy is counted.
// SI units throughout; angles of the output shaft in rad. No allocation after construction.
#pragma once

#include "robot/robot.h"

namespace ringout::plant {

struct AxisParameters {
  double winding_resistance = 1.0;  // at 25 °C
  double series_resistance = 0.0;   // bridge, wire, contacts
  double inductance = 1e-3;
  double k = 0.01;  // V·s/rad of the rotor
  double gear = 1.0;
  double rotor_inertia = 1e-6;
  double rotor_friction = 0.0;  // Coulomb, at the rotor
  double rotor_viscous = 0.0;   // at the rotor
  double cogging = 0.0;         // amplitude at the rotor, N·m
  double cogging_periods = 10;  // per turn of the rotor
  double ripple = 0.0;          // share of k
  double ripple_periods = 6;
  double efficiency = 1.0;
  double half_backlash = 0.0;
  double load_inertia = 0.0;
  double load_friction = 0.0;
  double load_viscous = 0.0;
  double weight_torque = 0.0;
  double breakaway = 1.3;        // over Coulomb friction
  double stribeck_speed = 0.05;  // rad/s of the output shaft
  double low_stop = -1e300;
  double high_stop = 1e300;
  double current_limit = 1e300;
  double heat_capacity = 1e300;      // J/K
  double thermal_resistance = 1e-3;  // K/W, winding to air
  bool coupled = true;               // false: the coupling between rotor and gear slips
  bool self_locking = false;
  bool jammed = false;
};

// Supply current drawn over the next step, as far as it follows the supply: I = fixed + per_volt · V.
struct Draw {
  double fixed = 0.0;
  double per_volt = 0.0;
};

struct AxisLosses {
  double electric = 0.0;    // J, in all resistances and diodes
  double mechanical = 0.0;  // J, friction, gear, impacts
};

class MotorAxis {
 public:
  MotorAxis(const AxisParameters& p, double start_position, double start_gap_share);

  // Plans the next step of length dt with this duty (sign: at the motor's own terminals) and an estimate of the supply.
  [[nodiscard]] Draw plan(double duty, robot::Off when_off, double supply_estimate, double dt);
  // Takes the step at this mean supply voltage; returns the charge drawn from the supply.
  double advance(double supply, double dt);
  // The circuit opens: the current ends in an arc whose energy is lost.
  void break_circuit();

  [[nodiscard]] double position() const { return load_x_; }
  [[nodiscard]] double speed() const { return load_w_; }
  [[nodiscard]] double rotor_position() const { return rotor_x_ * p_.gear; }  // rad of the rotor
  [[nodiscard]] double current() const { return i_; }
  [[nodiscard]] double winding_temperature() const { return temperature_; }
  [[nodiscard]] bool at_low_stop() const { return load_x_ <= p_.low_stop; }
  [[nodiscard]] bool at_high_stop() const { return load_x_ >= p_.high_stop; }
  [[nodiscard]] int hard_stop_hits() const { return hits_; }
  [[nodiscard]] const AxisLosses& losses() const { return losses_; }
  [[nodiscard]] double stored() const;
  // No current, no motion, nothing to start any: the step may be left out.
  [[nodiscard]] bool resting() const { return resting_; }

 private:
  enum class Circuit { open, freewheel, driven };
  struct Electric {  // depends on dt alone while the temperature holds
    double dt = 0.0;
    double decay = 0.0;  // e^(−dt/τ)
    double mean = 0.0;   // mean of the decaying start current
    double gain = 0.0;   // mean current per volt
  };
  struct Trial {
    double dt = 0.0;
    double i_mean = 0.0, i_end = 0.0, i2 = 0.0;  // i2: integral of i²
    double rotor_dw = 0.0, rotor_mean = 0.0, rotor_friction = 0.0;
    double load_dw = 0.0, load_mean = 0.0, load_friction = 0.0;
    double cogging = 0.0, contact = 0.0, e = 1.0;
  };
  enum class What { nothing, rotor_stops, load_stops, contact_plus, contact_minus, low_stop, high_stop, parts };
  struct Event {
    What what = What::nothing;
    double share = 1.0;
  };
  // M and C of D·M = K·i + C for whatever turns with the rotor.
  struct Mover {
    double mass_rate = 0.0;
    double bias = 0.0;
  };

  [[nodiscard]] Electric electric_for(double dt) const;
  void choose_directions(double torque);
  void choose_engaged(double torque);
  void choose_gap(double torque);
  [[nodiscard]] bool blocked(int direction) const;
  [[nodiscard]] double rest_torque(double torque) const;
  [[nodiscard]] double friction_at(double coulomb, double w) const;
  [[nodiscard]] double mean_cogging(double dt) const;
  [[nodiscard]] Mover mover(double dt, double cogging) const;
  void predict(const Electric& el, double dt);
  [[nodiscard]] Trial solve(const Electric& el, double u, What end) const;
  void solve_current(const Electric& el, double u, Trial& t) const;
  [[nodiscard]] Event first_event(const Trial& t) const;
  void commit(const Trial& t);
  void apply(const Event& e);
  void collide();
  void come_to_rest();
  void plan_freewheel(double supply, double dt);
  [[nodiscard]] double limited_duty(double duty, double supply, const Electric& el) const;
  void warm(double dt);

  AxisParameters p_;
  double rotor_j_, load_j_, K_, rotor_f_, load_f_, rotor_b_, load_b_, back_e_;
  double resistance_;
  Electric full_;

  double i_ = 0.0, rotor_x_, rotor_w_ = 0.0, load_x_, load_w_ = 0.0;
  bool engaged_;
  int flank_ = 0;  // +1: rotor pushes the load toward positive; 0: no backlash
  int rotor_dir_ = 0, load_dir_ = 0;
  bool motor_drives_ = true;
  bool resting_ = false;

  Circuit circuit_ = Circuit::open;
  double duty_ = 0.0, k_now_ = 0.0, cogging_now_ = 0.0;
  double freewheel_mean_ = 0.0, freewheel_i2_ = 0.0, freewheel_end_ = 0.0, freewheel_dt_ = 0.0;
  bool may_part_ = true;

  double temperature_ = 25.0, heat_ = 0.0, heat_time_ = 0.0;
  int hits_ = 0;
  AxisLosses losses_;
};

}  // namespace ringout::plant
