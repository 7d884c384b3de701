#include "plant/motor_axis.h"

#include <algorithm>
#include <cmath>

#include "plant/wave.h"

namespace ringout::plant {
namespace {

constexpr double two_pi = 2.0 * pi;
constexpr double diode_pair_volts = 1.4;       // two freewheel diodes in series
constexpr double copper_per_kelvin = 0.00393;  // IACS, 20 °C
constexpr double ambient_celsius = 25.0;
constexpr double warm_every_s = 0.05;
constexpr int most_events = 12;

double sign_of(double v) {
  return v > 0.0 ? 1.0 : (v < 0.0 ? -1.0 : 0.0);
}

}  // namespace

MotorAxis::MotorAxis(const AxisParameters& p, double start_position, double start_gap_share)
    : p_(p),
      rotor_j_(p.gear * p.gear * p.rotor_inertia),
      load_j_(p.load_inertia),
      K_(p.gear * p.k),
      rotor_f_(p.gear * p.rotor_friction),
      load_f_(p.load_friction),
      rotor_b_(p.gear * p.gear * p.rotor_viscous),
      load_b_(p.load_viscous),
      back_e_(p.self_locking ? 0.0 : std::max(0.0, 2.0 - 1.0 / p.efficiency)),
      resistance_(p.winding_resistance + p.series_resistance),
      rotor_x_(start_position),
      load_x_(start_position),
      engaged_(p.coupled && p.half_backlash <= 0.0) {
  if (engaged_) return;
  if (p_.coupled && p_.weight_torque > 0.0) {
    engaged_ = true;
    flank_ = 1;
    rotor_x_ = load_x_ + p_.half_backlash;
  } else {
    rotor_x_ = load_x_ + p_.half_backlash * start_gap_share;
  }
}

MotorAxis::Electric MotorAxis::electric_for(double dt) const {
  const double rate = resistance_ / p_.inductance;
  const double h = dt * rate;
  Electric el;
  el.dt = dt;
  const double gone = -std::expm1(-h);
  el.decay = 1.0 - gone;
  el.mean = h > 1e-9 ? gone / h : 1.0;
  el.gain = h > 1e-6 ? (1.0 - el.mean) / resistance_ : 0.5 * h / resistance_;
  return el;
}

double MotorAxis::friction_at(double coulomb, double w) const {
  const double q = w / p_.stribeck_speed;
  return coulomb * (1.0 + (p_.breakaway - 1.0) / (1.0 + q * q));
}

// Mean torque of the cogging over the way that the rotor is about to turn, so that fast turning averages it out.
double MotorAxis::mean_cogging(double dt) const {
  if (p_.cogging == 0.0) return 0.0;
  const double turns_per_radian = p_.gear * p_.cogging_periods / two_pi;
  const double height = p_.cogging / p_.cogging_periods;  // U = height · wave, J of the rotor
  const double way = rotor_w_ * dt;
  const double turns = rotor_x_ * turns_per_radian;
  if (std::abs(way) * turns_per_radian < 1e-6) return -height * wave_slope(turns) * turns_per_radian;
  return -height * (wave((rotor_x_ + way) * turns_per_radian) - wave(turns)) / way;
}

double MotorAxis::stored() const {
  const double turns_per_radian = p_.gear * p_.cogging_periods / two_pi;
  const double cogging = p_.cogging / p_.cogging_periods * wave(rotor_x_ * turns_per_radian);
  return 0.5 * p_.inductance * i_ * i_ + 0.5 * rotor_j_ * rotor_w_ * rotor_w_ + 0.5 * load_j_ * load_w_ * load_w_ +
         p_.weight_torque * load_x_ + cogging;
}

// The rotor's mover: alone in the gap, with the load's share where the gear is engaged.
MotorAxis::Mover MotorAxis::mover(double dt, double cogging) const {
  Mover m;
  const double s = rotor_dir_;
  if (!engaged_) {
    m.mass_rate = rotor_j_ / dt + 0.5 * rotor_b_;
    m.bias = cogging - rotor_b_ * rotor_w_ - s * friction_at(rotor_f_, rotor_w_);
    return m;
  }
  const double e = motor_drives_ ? 1.0 / p_.efficiency : back_e_;
  const double b = rotor_b_ + e * load_b_;
  m.mass_rate = (rotor_j_ + e * load_j_) / dt + 0.5 * b;
  m.bias = cogging - b * rotor_w_ - s * friction_at(rotor_f_ + e * load_f_, rotor_w_) - e * p_.weight_torque;
  return m;
}

// Mean and final current, and the integral of i², with the rotor's speed held at t.rotor_mean.
void MotorAxis::solve_current(const Electric& el, double u, Trial& t) const {
  if (circuit_ != Circuit::driven) {
    t.i_mean = freewheel_mean_;
    t.i_end = freewheel_end_;
    t.i2 = freewheel_dt_ > 0.0 ? freewheel_i2_ * t.dt / freewheel_dt_ : 0.0;
    return;
  }
  const double steady = (u - k_now_ * t.rotor_mean) / resistance_;
  const double off = i_ - steady;
  const double tau = p_.inductance / resistance_;
  t.i_mean = el.mean * i_ + el.gain * (u - k_now_ * t.rotor_mean);
  t.i_end = steady + off * el.decay;
  t.i2 = steady * steady * t.dt + 2.0 * steady * off * tau * (1.0 - el.decay) +
         0.5 * off * off * tau * (1.0 - el.decay * el.decay);
}

MotorAxis::Trial MotorAxis::solve(const Electric& el, double u, What end) const {
  Trial t;
  t.dt = el.dt;
  const bool rotor_ends = rotor_dir_ != 0 && end == What::rotor_stops;
  const bool load_ends = load_dir_ != 0 && end == What::load_stops;
  if (rotor_dir_ != 0) {
    t.cogging = cogging_now_;
    const Mover m = mover(t.dt, t.cogging);
    if (rotor_ends) {
      t.rotor_mean = 0.5 * rotor_w_;
    } else if (circuit_ == Circuit::driven) {
      const double half = 0.5 / m.mass_rate;
      const double bias_speed = rotor_w_ + half * m.bias;
      const double i = (el.mean * i_ + el.gain * (u - k_now_ * bias_speed)) / (1.0 + el.gain * k_now_ * k_now_ * half);
      t.rotor_mean = bias_speed + half * k_now_ * i;
    } else {
      t.rotor_mean = rotor_w_ + 0.5 * (k_now_ * freewheel_mean_ + m.bias) / m.mass_rate;
    }
    t.rotor_dw = 2.0 * (t.rotor_mean - rotor_w_);
  }
  solve_current(el, u, t);
  if (engaged_) {
    t.e = motor_drives_ ? 1.0 / p_.efficiency : back_e_;
    t.load_dw = t.rotor_dw;
    t.load_mean = t.rotor_mean;
    t.load_friction = load_dir_ * friction_at(load_f_, rotor_w_);
    t.contact = load_j_ * t.load_dw / t.dt + load_b_ * t.load_mean + t.load_friction + p_.weight_torque;
  } else if (load_dir_ != 0) {
    t.load_friction = load_dir_ * friction_at(load_f_, load_w_);
    const double rate = load_j_ / t.dt + 0.5 * load_b_;
    t.load_dw = load_ends ? -load_w_ : (-load_b_ * load_w_ - t.load_friction - p_.weight_torque) / rate;
    t.load_mean = load_w_ + 0.5 * t.load_dw;
    if (load_ends) t.load_friction = -load_j_ * t.load_dw / t.dt - load_b_ * t.load_mean - p_.weight_torque;
  }
  if (rotor_dir_ == 0) return t;
  t.rotor_friction = rotor_dir_ * friction_at(rotor_f_, rotor_w_);
  if (rotor_ends) {  // friction takes just what brings it to rest, so that the balance stays exact
    const double through_gear = engaged_ ? t.e * t.contact : 0.0;
    t.rotor_friction =
        k_now_ * t.i_mean + t.cogging - rotor_b_ * t.rotor_mean - rotor_j_ * t.rotor_dw / t.dt - through_gear;
  }
  return t;
}

// What happens first within the trial, and after which share of it.
MotorAxis::Event MotorAxis::first_event(const Trial& t) const {
  Event first;
  const auto consider = [&first](What what, double share) {
    if (share < first.share) first = {what, std::max(0.0, share)};
  };
  if (engaged_ && flank_ != 0 && may_part_ && rotor_dir_ != 0 && t.contact * flank_ < 0.0) return {What::parts, 0.0};
  if (rotor_dir_ != 0 && (rotor_w_ + t.rotor_dw) * rotor_dir_ < 0.0) {
    consider(What::rotor_stops, -rotor_w_ / t.rotor_dw);
  }
  if (!engaged_ && load_dir_ != 0 && (load_w_ + t.load_dw) * load_dir_ < 0.0) {
    consider(What::load_stops, -load_w_ / t.load_dw);
  }
  // Where a quadratic way w0·t + a·t²/2 first reaches `way` (same sign as its motion), as a share of dt.
  const auto reaches = [&t](double way, double w0, double dw) {
    const double root = w0 * w0 + 2.0 * dw / t.dt * way;
    if (root <= 0.0) return way / ((w0 + 0.5 * dw) * t.dt);
    return 2.0 * way / (w0 + sign_of(way == 0.0 ? w0 + 0.5 * dw : way) * std::sqrt(root)) / t.dt;
  };
  if (load_dir_ > 0 && load_x_ + t.load_mean * t.dt >= p_.high_stop) {
    consider(What::high_stop, reaches(p_.high_stop - load_x_, load_w_, t.load_dw));
  }
  if (load_dir_ < 0 && load_x_ + t.load_mean * t.dt <= p_.low_stop) {
    consider(What::low_stop, reaches(p_.low_stop - load_x_, load_w_, t.load_dw));
  }
  if (!engaged_ && p_.coupled) {
    const double gap = rotor_x_ - load_x_;
    const double gap_end = gap + (t.rotor_mean - t.load_mean) * t.dt;
    const double w0 = rotor_w_ - load_w_;
    const double dw = t.rotor_dw - t.load_dw;
    constexpr double rounding = 1e-12;
    if (gap_end > p_.half_backlash + rounding) consider(What::contact_plus, reaches(p_.half_backlash - gap, w0, dw));
    if (gap_end < -p_.half_backlash - rounding) consider(What::contact_minus, reaches(-p_.half_backlash - gap, w0, dw));
  }
  return first;
}

void MotorAxis::commit(const Trial& t) {
  const double stops = rotor_b_ * t.rotor_mean * t.rotor_mean + t.rotor_friction * t.rotor_mean +
                       load_b_ * t.load_mean * t.load_mean + t.load_friction * t.load_mean;
  const double in_gear = engaged_ ? (t.e - 1.0) * t.contact * t.load_mean : 0.0;
  losses_.mechanical += (stops + in_gear) * t.dt;
  const double heat = t.i2;
  losses_.electric += resistance_ * heat;
  heat_ += (resistance_ - p_.series_resistance) * heat;
  i_ = t.i_end;
  rotor_x_ += t.rotor_mean * t.dt;
  rotor_w_ += t.rotor_dw;
  load_x_ += t.load_mean * t.dt;
  load_w_ += t.load_dw;
  if (engaged_ && load_dir_ != 0) {
    const double way = t.contact * load_dir_;
    motor_drives_ = way >= 0.0;
  }
}

void MotorAxis::apply(const Event& e) {
  switch (e.what) {
    case What::nothing:
      return;
    case What::rotor_stops:
      rotor_w_ = 0.0;
      if (engaged_) load_w_ = 0.0;
      return;
    case What::load_stops:
      load_w_ = 0.0;
      return;
    case What::parts:
      engaged_ = false;
      may_part_ = false;
      rotor_x_ = load_x_ + flank_ * p_.half_backlash;
      return;
    case What::contact_plus:
    case What::contact_minus:
      flank_ = e.what == What::contact_plus ? 1 : -1;
      collide();
      return;
    case What::low_stop:
    case What::high_stop:
      load_x_ = e.what == What::low_stop ? p_.low_stop : p_.high_stop;
      losses_.mechanical += 0.5 * load_j_ * load_w_ * load_w_;
      load_w_ = 0.0;
      ++hits_;
      if (engaged_) {
        losses_.mechanical += 0.5 * rotor_j_ * rotor_w_ * rotor_w_;
        rotor_w_ = 0.0;
        rotor_x_ = load_x_ + flank_ * p_.half_backlash;
      }
      return;
  }
}

// The backlash closes: rotor and load go on together with their common momentum, or stand where a stop is behind.
void MotorAxis::collide() {
  const double before = 0.5 * rotor_j_ * rotor_w_ * rotor_w_ + 0.5 * load_j_ * load_w_ * load_w_;
  double common = (rotor_j_ * rotor_w_ + load_j_ * load_w_) / (rotor_j_ + load_j_);
  if (blocked(static_cast<int>(sign_of(common)))) common = 0.0;
  rotor_w_ = load_w_ = common;
  losses_.mechanical += before - 0.5 * (rotor_j_ + load_j_) * common * common;
  rotor_x_ = load_x_ + flank_ * p_.half_backlash;
  engaged_ = true;
}

void MotorAxis::come_to_rest() {
  losses_.mechanical += 0.5 * rotor_j_ * rotor_w_ * rotor_w_ + 0.5 * load_j_ * load_w_ * load_w_;
  rotor_w_ = load_w_ = 0.0;
  rotor_dir_ = load_dir_ = 0;
}

bool MotorAxis::blocked(int direction) const {
  return p_.jammed || (direction > 0 && at_high_stop()) || (direction < 0 && at_low_stop());
}

double MotorAxis::rest_torque(double torque) const {
  if (p_.cogging == 0.0) return torque;
  const double turns_per_radian = p_.gear * p_.cogging_periods / two_pi;
  const double height = p_.cogging / p_.cogging_periods;
  return torque - height * wave_slope(rotor_x_ * turns_per_radian) * turns_per_radian;
}

// Which way rotor and load are about to move, `torque` being K times the current to be expected.
void MotorAxis::choose_directions(double torque) {
  if (p_.jammed) {
    rotor_dir_ = load_dir_ = 0;
    return;
  }
  if (!engaged_) {
    choose_gap(torque);
  } else if (rotor_w_ != 0.0) {
    rotor_dir_ = load_dir_ = static_cast<int>(sign_of(rotor_w_));
  } else {
    choose_engaged(torque);
  }
}

void MotorAxis::choose_gap(double torque) {
  rotor_dir_ = static_cast<int>(sign_of(rotor_w_));
  if (rotor_dir_ == 0) {
    const double net = rest_torque(torque);
    if (std::abs(net) > p_.breakaway * rotor_f_) rotor_dir_ = static_cast<int>(sign_of(net));
  }
  load_dir_ = static_cast<int>(sign_of(load_w_));
  const bool held = p_.self_locking && !p_.coupled;  // the load stands on the gear, beyond the open coupling
  if (load_dir_ == 0 && !held && std::abs(p_.weight_torque) > p_.breakaway * load_f_) {
    const int falls = -static_cast<int>(sign_of(p_.weight_torque));
    if (!blocked(falls)) load_dir_ = falls;
  }
}

void MotorAxis::choose_engaged(double torque) {
  rotor_dir_ = load_dir_ = 0;
  const double net = rest_torque(torque);
  const double rotor_hold = p_.breakaway * rotor_f_;
  const double load_hold = p_.breakaway * load_f_;
  for (const int s : {1, -1}) {
    const double drive = s * net - rotor_hold;
    const double resists = load_hold + s * p_.weight_torque;
    const bool pushes = flank_ == 0 || flank_ == s;    // the rotor can push the load this way
    const bool carries = flank_ == 0 || flank_ == -s;  // the load can push the rotor this way
    if (resists >= 0.0 && pushes && !blocked(s) && drive > resists / p_.efficiency) {
      rotor_dir_ = load_dir_ = s;
      motor_drives_ = true;
      return;
    }
    if (resists < 0.0 && carries && !blocked(s) && drive - back_e_ * resists > 0.0) {
      rotor_dir_ = load_dir_ = s;
      motor_drives_ = false;
      return;
    }
    const bool rotor_leaves = flank_ == -s && drive > 0.0 && (resists >= 0.0 || blocked(s));
    const bool load_leaves = flank_ == s && resists < 0.0 && !blocked(s);
    if (rotor_leaves || load_leaves) {
      engaged_ = false;
      choose_gap(torque);
      return;
    }
  }
}

// A coasting bridge: the current returns through the diodes against the supply until it is gone.
void MotorAxis::plan_freewheel(double supply, double dt) {
  freewheel_mean_ = freewheel_i2_ = freewheel_end_ = 0.0;
  freewheel_dt_ = dt;
  if (i_ == 0.0) return;
  const double s = sign_of(i_);
  const double u = -s * (std::max(supply, 0.0) + diode_pair_volts);
  const double steady = (u - k_now_ * rotor_w_) / resistance_;
  const double off = i_ - steady;
  const double tau = p_.inductance / resistance_;
  double time = dt;
  if (steady * s < 0.0) time = std::min(dt, tau * std::log(off / -steady));
  const double decay = std::exp(-time / tau);
  freewheel_mean_ = (steady * time + off * tau * (1.0 - decay)) / dt;
  freewheel_i2_ =
      steady * steady * time + 2.0 * steady * off * tau * (1.0 - decay) + 0.5 * off * off * tau * (1.0 - decay * decay);
  freewheel_end_ = time < dt ? 0.0 : steady + off * decay;
}

// The duty that the chopping limit leaves: never more than asked, never of the other sign.
double MotorAxis::limited_duty(double duty, double supply, const Electric& el) const {
  if (supply < 1.0) return duty;
  const double share = (1.0 - el.decay) / resistance_;
  const double emf = k_now_ * rotor_w_;
  const double end = el.decay * i_ + share * (duty * supply - emf);
  if (std::abs(end) <= p_.current_limit) return duty;
  const double wanted = ((sign_of(end) * p_.current_limit - el.decay * i_) / share + emf) / supply;
  return std::clamp(wanted, std::min(duty, 0.0), std::max(duty, 0.0));
}

Draw MotorAxis::plan(double duty, robot::Off when_off, double supply_estimate, double dt) {
  const bool coasts = duty == 0.0 && when_off == robot::Off::coast;
  if (coasts && resting_ && i_ == 0.0) {
    circuit_ = Circuit::open;
    return {};
  }
  resting_ = false;
  if (full_.dt != dt) full_ = electric_for(dt);
  may_part_ = true;
  const double turns = rotor_x_ * p_.gear * p_.ripple_periods / two_pi;
  const double turned = 0.5 * rotor_w_ * dt * p_.gear * p_.ripple_periods / two_pi;
  k_now_ = p_.ripple == 0.0 ? K_ : K_ * (1.0 + p_.ripple * wave(turns + turned));
  if (coasts) {
    circuit_ = i_ == 0.0 ? Circuit::open : Circuit::freewheel;
    duty_ = 0.0;
    plan_freewheel(supply_estimate, dt);
    choose_directions(k_now_ * freewheel_mean_);
    cogging_now_ = mean_cogging(dt);
    return {.fixed = -std::abs(freewheel_mean_), .per_volt = 0.0};
  }
  circuit_ = Circuit::driven;
  duty_ = limited_duty(duty, supply_estimate, full_);
  choose_directions(k_now_ * (full_.mean * i_ + full_.gain * duty_ * supply_estimate));
  cogging_now_ = mean_cogging(dt);
  double fixed = full_.mean * i_;
  double per_volt = full_.gain;
  if (rotor_dir_ != 0) {
    const Mover m = mover(dt, cogging_now_);
    const double half = 0.5 / m.mass_rate;
    const double coupled = 1.0 / (1.0 + full_.gain * k_now_ * k_now_ * half);
    fixed = (fixed - full_.gain * k_now_ * (rotor_w_ + half * m.bias)) * coupled;
    per_volt *= coupled;
  }
  return {.fixed = duty_ * fixed, .per_volt = duty_ * duty_ * per_volt};
}

double MotorAxis::advance(double supply, double dt) {
  if (resting_) {
    warm(dt);
    return 0.0;
  }
  const double u = duty_ * supply;
  double charge = 0.0;
  double left = dt;
  for (int n = 0; left > 0.0; ++n) {
    const Electric el = left == full_.dt ? full_ : electric_for(left);
    Trial t = solve(el, u, What::nothing);
    Event e = first_event(t);
    if (n >= most_events && e.what != What::nothing) {
      come_to_rest();
      t = solve(el, u, What::nothing);
      e = {};
    }
    if (e.what != What::nothing && e.share > 0.0) t = solve(electric_for(e.share * left), u, e.what);
    if (e.what == What::nothing || e.share > 0.0) {
      commit(t);
      charge += t.i_mean * t.dt;
      left = e.what == What::nothing ? 0.0 : left - t.dt;
    }
    if (e.what == What::nothing) break;
    apply(e);
    choose_directions(circuit_ == Circuit::driven ? k_now_ * (el.mean * i_ + el.gain * u) : k_now_ * freewheel_mean_);
    cogging_now_ = mean_cogging(left);
  }
  warm(dt);
  if (circuit_ == Circuit::driven) return duty_ * charge;
  losses_.electric += diode_pair_volts * std::abs(charge);
  resting_ = i_ == 0.0 && rotor_w_ == 0.0 && load_w_ == 0.0 && rotor_dir_ == 0 && load_dir_ == 0;
  return -std::abs(charge);
}

void MotorAxis::break_circuit() {
  losses_.electric += 0.5 * p_.inductance * i_ * i_;
  i_ = 0.0;
}

// One heated body for the winding; its resistance follows copper.
void MotorAxis::warm(double dt) {
  heat_time_ += dt;
  if (heat_time_ < warm_every_s) return;
  const double cooling = (temperature_ - ambient_celsius) / p_.thermal_resistance * heat_time_;
  temperature_ += (heat_ - cooling) / p_.heat_capacity;
  heat_ = heat_time_ = 0.0;
  resistance_ =
      p_.winding_resistance * (1.0 + copper_per_kelvin * (temperature_ - ambient_celsius)) + p_.series_resistance;
  full_.dt = 0.0;
}

}  // namespace ringout::plant
