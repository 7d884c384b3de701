#include "physics/limited_drive.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"

namespace ringout::physics {
namespace {

// Where the line has this current.
AngularSpeed speed_at(const DriveTrain& t, Drive drive, Current i) {
  return (drive.source * drive.duty - total_resistance(t, drive.duty) * i) / (t.motor.k * t.gear.ratio);
}

DrivePoint best_within(const DriveTrain& t, Drive drive, const DrivePoint& best, Current limit) {
  RINGOUT_CHECK(drive.duty >= 0.0);
  if (limit <= t.motor.free_current) return point_at_speed(t, drive, {}, limit);
  return best.motor_current <= limit ? best : point_at_speed(t, drive, speed_at(t, drive, limit));
}

// The time from rest to `speed` of J·dω/dt = torque − b·ω.
double time_under(double torque, double viscous, double inertia, double speed) {
  if (viscous <= 0.0) return inertia * speed / torque;
  return -inertia / viscous * std::log1p(-viscous * speed / torque);
}

}  // namespace

DrivePoint point_at_speed(const DriveTrain& t, Drive drive, AngularSpeed output, Current limit) {
  RINGOUT_CHECK(drive.duty >= 0.0 && output.si >= 0.0);
  const DrivePoint on_line = point_at_speed(t, drive, output);
  if (on_line.motor_current <= limit) return on_line;
  // Less current needs less duty, so there is one.
  return point_at_speed(t, {.source = drive.source, .duty = *duty_for(t, drive.source, output, limit)}, output);
}

DrivePoint operating_point(const DriveTrain& t, Drive drive, Current limit) {
  RINGOUT_CHECK(drive.duty >= 0.0);
  const DrivePoint free = operating_point(t, drive);
  if (free.motor_current <= limit) return free;
  // What the load leaves of the limit's torque, its viscous part takes: at the speed at which it does.
  const Torque still_load = t.load.weight + t.load.friction;
  const Torque given = t.motor.k * (limit - t.motor.free_current) * (t.gear.ratio * t.gear.efficiency);
  if (given > still_load && t.load.viscous.si > 0.0) {
    return point_at_speed(t, drive, (given - still_load) / t.load.viscous, limit);
  }
  DrivePoint still = point_at_speed(t, drive, {}, limit);
  still.motor_torque = t.motor.k * still.motor_current;
  still.output_torque = t.load.weight;
  return still;
}

DrivePoint most_power(const DriveTrain& t, Drive drive, Current limit) {
  return best_within(t, drive, most_power(t, drive), limit);
}

DrivePoint most_efficient(const DriveTrain& t, Drive drive, Current limit) {
  return best_within(t, drive, most_efficient(t, drive), limit);
}

Time run_up_time(const RunUp& m, double share) {
  RINGOUT_CHECK(m.k.si > 0.0 && m.r.si > 0.0 && m.inertia.si > 0.0 && share >= 0.0 && share <= 1.0);
  const double stall = (m.u / m.r).si, k = m.k.si, b = m.viscous.si;
  if (std::min(stall, m.limit.si) <= m.standing.si) return {std::numeric_limits<double>::infinity()};
  const double line_viscous = b + k * k / m.r.si;  // the line's current falls with the speed
  const double line_torque = k * (stall - m.standing.si);
  const double limited_torque = k * (m.limit.si - m.standing.si);
  const double corner = std::max(0.0, (m.u - m.r * std::min(m.limit, m.u / m.r)).si / k);
  double settled = line_torque / line_viscous;
  if (settled < corner) settled = limited_torque / b;  // its load takes all of the limit
  const double wanted = share * settled;
  const double even = std::min(wanted, corner);
  Time time{even > 0.0 ? time_under(limited_torque, b, m.inertia.si, even) : 0.0};
  if (wanted > corner) {
    // From the corner the rest of the torque runs out like a start with what is left of it.
    const double left = line_torque - line_viscous * corner;
    time += Time{time_under(left, line_viscous, m.inertia.si, wanted - corner)};
  }
  return time;
}

}  // namespace ringout::physics
