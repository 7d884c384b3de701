#include "desk/report_figures.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>

namespace ringout::desk {
namespace {

constexpr double absent = std::numeric_limits<double>::quiet_NaN();
constexpr double loaded = 0.5;  // of a protection's rating: below it, nobody asks when it opens

// Rows stand by rising output.
template <class Row>
const Row* of_output(const std::vector<Row>& rows, std::size_t output) {
  const auto at = std::lower_bound(rows.begin(), rows.end(), output,
                                   [](const Row& r, std::size_t wanted) { return r.output < wanted; });
  return at == rows.end() || at->output != output ? nullptr : &*at;
}

double share_of(Current current, const std::optional<Current>& limit) {
  return limit && limit->si > 0.0 ? std::abs(current / *limit) : absent;
}

double in_case(const DeskReport& report, const ReportFigure& f) {
  const CaseReport& c = report.cases[f.of];
  if (c.unsolved) return absent;
  switch (f.what) {
    case RangeOf::case_controller:
      return c.controller.si;
    case RangeOf::case_battery:
      return c.battery_current.si;
    case RangeOf::case_multiple:
      return c.protections[f.part].multiple;
    case RangeOf::wire_share:
      return share_of(c.wires[f.part].current, report.wires[f.part].limit);
    case RangeOf::bank_share:
      return f.part < c.banks.size() ? share_of(c.banks[f.part].share.current, c.banks[f.part].share.limit) : absent;
    default:
      break;
  }
  const OutputFigures* o = of_output(c.outputs, f.part);
  if (o == nullptr) return absent;
  const Share& share = f.what == RangeOf::port_share ? o->port : o->connector;
  return share_of(share.current, share.limit);
}

double in_stall(const DeskReport& report, const ReportFigure& f) {
  const BranchStall* s = of_output(report.branch_stalls, f.of);
  if (s == nullptr) return absent;
  switch (f.what) {
    case RangeOf::stall_current:
      return s->current.si;
    case RangeOf::stall_supply:
      return s->supply_current.si;
    case RangeOf::stall_multiple:
      return s->multiples[f.part];
    default:
      return s->winding_limit_after ? 1.0 / s->winding_limit_after->si : absent;
  }
}

double in_motor(const DeskReport& report, const ReportFigure& f) {
  const MotorCurve* m = of_output(report.motors, f.of);
  if (m == nullptr) return absent;
  switch (f.what) {
    case RangeOf::motor_speed:
      return m->output_speed.si;
    case RangeOf::motor_current:
      return m->operating_current.si;
    case RangeOf::motor_stall_current:
      return m->stall_current.si;
    case RangeOf::motor_stall_hot:
      return m->stall_torque_hot ? m->stall_torque_hot->si : absent;
    case RangeOf::motor_starting:
      return m->starting.si;
    case RangeOf::motor_to_63_percent:
      return 1.0 / m->to_63_percent.si;
    default:
      return m->most_power.si;
  }
}

double in_heat(const DutyFigures& d, const ReportFigure& f) {
  const MotorHeatFigures* m = of_output(d.motors, f.part);
  if (m == nullptr || !m->stated) return absent;
  switch (f.what) {
    case RangeOf::heat_after_cycles:
      return m->after_cycles.si;
    case RangeOf::heat_settled:
      return std::isfinite(m->settled.si) ? m->settled.si : absent;
    case RangeOf::heat_limit_after:
      return 1.0 / m->limit_after.si;
    default:
      return m->allowed_share;
  }
}

double in_profile(const DutyFigures& d, const ReportFigure& f) {
  for (const ProfileFigures& p : d.protections) {
    if (p.protection != f.part) continue;
    if (f.what == RangeOf::profile_peak) return p.early_peak;
    return 1.0 / (f.what == RangeOf::profile_earliest ? p.opens.earliest : p.opens.latest).si;
  }
  return absent;
}

double in_duty(const DeskReport& report, const ReportFigure& f) {
  const DutyFigures& d = report.duties[f.of];
  if (d.unsolved) return absent;
  switch (f.what) {
    case RangeOf::mean_current:
      return d.mean_current.si;
    case RangeOf::effective_current:
      return d.effective_current.si;
    case RangeOf::lowest_controller:
      return d.lowest_controller.si;
    case RangeOf::cycle_energy:
      return d.energy.si;
    case RangeOf::day_energy:
      return d.energy_per_day.si;
    case RangeOf::day_charge:
      return d.charge_per_day.si;
    case RangeOf::run_time:
      return d.run_time.si;
    case RangeOf::cycles:
      return d.cycles;
    case RangeOf::end_voltage:
      return d.end_voltage.si;
    case RangeOf::batteries_per_day:
      return 1.0 / d.batteries_per_day;
    case RangeOf::profile_peak:
    case RangeOf::profile_earliest:
    case RangeOf::profile_latest:
      return in_profile(d, f);
    default:
      return in_heat(d, f);
  }
}

void add_worst_parts(const DeskReport& report, RangeOf what, std::size_t parts, std::vector<ReportFigure>& all) {
  for (std::size_t part = 0; part < parts; ++part) {
    ReportFigure worst{.what = what, .part = part, .unit = SpreadUnit::ratio};
    double most = -1.0;
    for (std::size_t c = 0; c < report.cases.size(); ++c) {
      const double share = value_of(report, {.what = what, .of = c, .part = part, .unit = SpreadUnit::ratio});
      if (!(share > most)) continue;
      most = share;
      worst.of = c;
    }
    if (most > 0.0) all.push_back(worst);
  }
}

void add_cases(const DeskReport& report, std::vector<ReportFigure>& all) {
  std::size_t outputs = 0, banks = 0;
  for (std::size_t c = 0; c < report.cases.size(); ++c) {
    const CaseReport& one = report.cases[c];
    if (one.unsolved) continue;
    all.push_back({.what = RangeOf::case_controller, .of = c, .unit = SpreadUnit::volt});
    all.push_back({.what = RangeOf::case_battery, .of = c, .unit = SpreadUnit::ampere});
    for (std::size_t p = 0; p < one.protections.size(); ++p) {
      if (one.protections[p].multiple < loaded) continue;
      all.push_back({.what = RangeOf::case_multiple, .of = c, .part = p, .unit = SpreadUnit::ratio});
    }
    for (const OutputFigures& o : one.outputs) outputs = std::max(outputs, o.output + 1);
    banks = std::max(banks, one.banks.size());
  }
  add_worst_parts(report, RangeOf::wire_share, report.wires.size(), all);
  add_worst_parts(report, RangeOf::port_share, outputs, all);
  add_worst_parts(report, RangeOf::connector_share, outputs, all);
  add_worst_parts(report, RangeOf::bank_share, banks, all);
}

void add_motors(const DeskReport& report, std::vector<ReportFigure>& all) {
  const auto add = [&](RangeOf what, std::size_t of, SpreadUnit unit) {
    all.push_back({.what = what, .of = of, .unit = unit, .where = PartOf::motor});
  };
  for (const BranchStall& s : report.branch_stalls) {
    add(RangeOf::stall_current, s.output, SpreadUnit::ampere);
    add(RangeOf::stall_supply, s.output, SpreadUnit::ampere);
    for (std::size_t p = 0; p < s.multiples.size(); ++p) {
      if (s.multiples[p] < loaded) continue;
      add(RangeOf::stall_multiple, s.output, SpreadUnit::ratio);
      all.back().part = p;
    }
    if (!s.winding_limit_after || s.winding_limit_after->si <= 0.0) continue;
    add(RangeOf::stall_limit_after, s.output, SpreadUnit::second);
    all.back().reciprocal = true;
  }
  for (const MotorCurve& m : report.motors) {
    add(RangeOf::motor_speed, m.output, SpreadUnit::radian_per_second);
    add(RangeOf::motor_current, m.output, SpreadUnit::ampere);
    add(RangeOf::motor_stall_current, m.output, SpreadUnit::ampere);
    if (m.stall_torque_hot) add(RangeOf::motor_stall_hot, m.output, SpreadUnit::newton_metre);
    add(RangeOf::motor_power, m.output, SpreadUnit::watt);
    add(RangeOf::motor_starting, m.output, SpreadUnit::radian_per_second_squared);
    if (!std::isfinite(m.to_63_percent.si)) continue;
    add(RangeOf::motor_to_63_percent, m.output, SpreadUnit::second);
    all.back().reciprocal = true;
  }
}

void add_duty(const DutyFigures& d, std::vector<ReportFigure>& all) {
  const auto add = [&](RangeOf what, SpreadUnit unit, std::size_t part = 0, bool reciprocal = false) {
    all.push_back(
        {.what = what, .of = d.cycle, .part = part, .unit = unit, .where = PartOf::duty, .reciprocal = reciprocal});
  };
  add(RangeOf::mean_current, SpreadUnit::ampere);
  add(RangeOf::effective_current, SpreadUnit::ampere);
  add(RangeOf::lowest_controller, SpreadUnit::volt);
  add(RangeOf::cycle_energy, SpreadUnit::joule);
  add(RangeOf::day_energy, SpreadUnit::joule);
  add(RangeOf::day_charge, SpreadUnit::coulomb);
  add(RangeOf::run_time, SpreadUnit::second);
  add(RangeOf::cycles, SpreadUnit::ratio);
  add(RangeOf::end_voltage, SpreadUnit::volt);
  if (d.batteries_per_day > 0.0) add(RangeOf::batteries_per_day, SpreadUnit::ratio, 0, true);
  for (const MotorHeatFigures& m : d.motors) {
    if (!m.stated) continue;
    add(RangeOf::heat_after_cycles, SpreadUnit::kelvin, m.output);
    if (std::isfinite(m.settled.si)) add(RangeOf::heat_settled, SpreadUnit::kelvin, m.output);
    if (m.limit_after.si > 0.0) add(RangeOf::heat_limit_after, SpreadUnit::second, m.output, true);
    add(RangeOf::heat_allowed, SpreadUnit::ratio, m.output);
  }
  for (const ProfileFigures& p : d.protections) {
    if (p.early_peak < loaded) continue;
    add(RangeOf::profile_peak, SpreadUnit::ratio, p.protection);
    if (p.opens.earliest.si > 0.0) add(RangeOf::profile_earliest, SpreadUnit::second, p.protection, true);
    if (p.opens.latest.si > 0.0) add(RangeOf::profile_latest, SpreadUnit::second, p.protection, true);
  }
}

// In the order of RangeOf.
constexpr std::string_view names[] = {"case_controller",   "case_battery",
                                      "case_multiple",     "wire_share",
                                      "port_share",        "connector_share",
                                      "bank_share",        "stall_current",
                                      "stall_supply",      "stall_multiple",
                                      "stall_limit_after", "motor_speed",
                                      "motor_current",     "motor_stall_current",
                                      "motor_stall_hot",   "motor_power",
                                      "motor_starting",    "motor_to_63_percent",
                                      "mean_current",      "effective_current",
                                      "lowest_controller", "cycle_energy",
                                      "day_energy",        "day_charge",
                                      "run_time",          "cycles",
                                      "end_voltage",       "batteries_per_day",
                                      "heat_after_cycles", "heat_settled",
                                      "heat_limit_after",  "heat_allowed",
                                      "profile_peak",      "profile_earliest",
                                      "profile_latest"};
static_assert(std::size(names) == static_cast<std::size_t>(RangeOf::profile_latest) + 1);

}  // namespace

std::string_view name_of(RangeOf what) {
  return names[static_cast<std::size_t>(what)];
}

std::vector<ReportFigure> report_figures(const DeskReport& report) {
  std::vector<ReportFigure> all;
  add_cases(report, all);
  add_motors(report, all);
  for (const DutyFigures& d : report.duties) {
    if (!d.unsolved && d.length.si > 0.0) add_duty(d, all);
  }
  std::stable_sort(all.begin(), all.end(), [](const ReportFigure& a, const ReportFigure& b) {
    if (a.what != b.what) return a.what < b.what;
    return a.of != b.of ? a.of < b.of : a.part < b.part;
  });
  return all;
}

double value_of(const DeskReport& report, const ReportFigure& figure) {
  if (figure.what <= RangeOf::bank_share) return in_case(report, figure);
  if (figure.what <= RangeOf::stall_limit_after) return in_stall(report, figure);
  if (figure.what <= RangeOf::motor_to_63_percent) return in_motor(report, figure);
  return in_duty(report, figure);
}

}  // namespace ringout::desk
