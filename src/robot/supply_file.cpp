// What a catalogue file says of the supply: batteries, protections, connectors.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "robot/catalogue_file.h"
#include "robot/table_reader.h"
#include "robot/wire_file.h"

namespace ringout::robot {

namespace {

using Dim = Dimension;

constexpr double same_end = 0.01;  // of a voltage that stands in two places

// Each table of `key` in turn, as rows of a list: row(table, index), which gives the figure by which the rows must
// rise.
template <class Row>
void read_rows(TableReader& in, const char* key, const char* rises_by, const Row& row) {
  double before = -1e300;
  std::size_t index = 0;
  for (const Node* node : in.tables(key)) {
    TableReader t(in.source(), *node, fmt::format("row {} of \"{}\" of {}", index + 1, key, in.what()), in.found());
    t.tolerances_like(in, fmt::format("{}.{}", key, index++));
    const std::optional<double> now = row(t);
    t.finish();
    if (now && *now <= before) {
      t.error(rises_by, "catalogue.rows-out-of-order",
              fmt::format("{} is not above that of the row before: the rows go by rising {}", t.what(), rises_by));
    }
    if (now) before = *now;
  }
}

void read_open_circuit(TableReader& t, BatteryDevice& d) {
  read_rows(t, "open_circuit", "state_of_charge", [&](TableReader& row) -> std::optional<double> {
    OpenCircuitPoint p;
    bool all = row.exact_quantity("state_of_charge", Need::required, Dim::fraction, up_to_one, p.state_of_charge);
    all = row.quantity("voltage", Need::required, Dim::voltage, above_zero, p.open_circuit.si) && all;
    if (!all) return std::nullopt;
    d.open_circuit.push_back(p);
    return p.state_of_charge;
  });
  const bool falls = std::adjacent_find(d.open_circuit.begin(), d.open_circuit.end(), [](const auto& a, const auto& b) {
                       return b.open_circuit < a.open_circuit;
                     }) != d.open_circuit.end();
  if (falls) {
    t.error("open_circuit", "catalogue.battery-figures",
            fmt::format("the open-circuit voltage of {} falls with rising charge", t.what()));
  }
}

// The load cases take the table, the rules of a charged and an empty battery the two single figures.
void refuse_other_ends(TableReader& t, const BatteryDevice& d) {
  for (const OpenCircuitPoint& p : d.open_circuit) {
    const bool full = p.state_of_charge == 1.0;
    if (!full && p.state_of_charge != 0.0) continue;
    const Voltage single = full ? d.open_circuit_full : d.open_circuit_empty;
    if (single.si <= 0.0 || std::abs(p.open_circuit / single - 1.0) <= same_end) continue;
    t.error("open_circuit", "catalogue.battery-figures",
            fmt::format("{} has {:g} V at {:.0f} % in its table, and open_circuit_{} says {:g} V", t.what(),
                        p.open_circuit.si, 100.0 * p.state_of_charge, full ? "full" : "empty", single.si),
            "the two are one figure: write the same for both");
  }
}

void read_internal_at(TableReader& t, BatteryDevice& d) {
  std::size_t index = 0;
  for (const Node* node : t.tables("internal_at")) {
    TableReader row(t.source(), *node, fmt::format("row {} of \"internal_at\" of {}", index + 1, t.what()), t.found());
    row.tolerances_like(t, fmt::format("internal_at.{}", index++));
    InternalPoint p;
    row.exact_quantity("state_of_charge", Need::optional, Dim::fraction, up_to_one, p.state_of_charge);
    row.exact_quantity("at", Need::optional, Dim::temperature, ambient_range, p.at.si);
    row.quantity("internal", Need::required, Dim::resistance, above_zero, p.internal.si);
    row.finish();
    d.internal_at.push_back(p);
  }
}

constexpr Time unlimited{std::numeric_limits<double>::infinity()};

// The larger the current, the sooner it opens; `before` has what the rows of smaller multiples state, the last of each.
void refuse_contradiction(TableReader& row, const LimitPoint& before, const LimitPoint& p) {
  const auto wrong = [&](const char* key, const char* what, const char* hint) {
    row.error(key, "catalogue.limit-figures", fmt::format("in {}, {}", row.what(), what), hint);
  };
  constexpr const char* sooner = "the larger the current, the sooner a protection opens";
  if (p.latest && *p.latest < p.earliest) {
    wrong("latest", "the latest time is before the earliest", "the two are probably exchanged");
  } else if (p.multiple <= before.multiple) {
    return;  // out of order, which is told as such
  } else if (p.earliest > before.earliest) {
    wrong("earliest", "the earliest time is above that of a smaller multiple", sooner);
  } else if (p.earliest > *before.latest) {
    wrong("earliest", "the earliest time is above the latest of a smaller multiple", sooner);
  } else if (p.latest && *p.latest > *before.latest) {
    wrong("latest", "the latest time is above that of a smaller multiple", sooner);
  }
}

void read_limits(TableReader& t, ProtectionDevice& d) {
  LimitPoint before{.earliest = unlimited, .latest = unlimited};  // by all rows so far
  read_rows(t, "limits", "multiple", [&](TableReader& row) -> std::optional<double> {
    LimitPoint p;
    Time latest;
    const bool multiple = row.exact_number("multiple", Need::required, {0.1, 1000.0}, p.multiple);
    row.exact_quantity("earliest", Need::optional, Dim::time, from_zero, p.earliest.si);
    if (row.exact_quantity("latest", Need::optional, Dim::time, above_zero, latest.si)) p.latest = latest;
    refuse_contradiction(row, before, p);
    before.multiple = std::max(before.multiple, p.multiple);
    if (p.earliest.si > 0.0) before.earliest = p.earliest;
    if (p.latest) before.latest = p.latest;
    if (!multiple) return std::nullopt;
    d.limits.push_back(p);
    return p.multiple;
  });
}

void read_derating(TableReader& t, ProtectionDevice& d) {
  read_rows(t, "ambient_factor", "ambient", [&](TableReader& row) -> std::optional<double> {
    DeratingPoint p;
    bool all = row.exact_quantity("ambient", Need::required, Dim::temperature, ambient_range, p.ambient.si);
    all = row.exact_number("factor", Need::required, {0.05, 5.0}, p.factor) && all;
    if (!all) return std::nullopt;
    d.derating.push_back(p);
    return p.ambient.si;
  });
}

template <class Q>
void read_optional(TableReader& t, const char* key, Dim dimension, std::optional<Q>& into) {
  Q value;
  if (t.quantity(key, Need::optional, dimension, above_zero, value.si)) into = value;
}

void read_resettable_only(TableReader& t, ProtectionDevice& d) {
  if (t.quantity("trip", Need::required, Dim::current, above_zero, d.trip.si) && d.trip <= d.rating) {
    t.error("trip", "catalogue.trip-below-hold", fmt::format("{} would trip at a current that it holds", t.what()),
            "the trip current is above the hold current");
  }
  if (const Node* node = t.table("max_trip", Need::optional, "{ at = \"8 A\", within = \"0.1 s\" }")) {
    TableReader trip(t.source(), *node, fmt::format("max_trip of {}", t.what()), t.found());
    Current at;
    Time within;
    if (trip.quantity("at", Need::required, Dim::current, above_zero, at.si)) d.max_trip_at = at;
    if (trip.quantity("within", Need::required, Dim::time, above_zero, within.si)) d.max_trip_within = within;
    trip.finish();
  }
  read_optional(t, "r_min", Dim::resistance, d.r_min);
  read_optional(t, "r1_max", Dim::resistance, d.r1_max);
  if (d.r_min && d.r1_max && *d.r1_max < *d.r_min) {
    t.error("r1_max", "catalogue.empty-range", fmt::format("r1_max of {} is below r_min", t.what()));
  }
}

std::optional<Area> read_terminal_size(TableReader& t, const char* key) {
  Wire wire;
  if (!read_wire_size(t, key, Need::optional, wire)) return std::nullopt;
  return wire.cross_section;
}

DeviceSpec read_protection(TableReader& t, ProtectionKind kind) {
  ProtectionDevice d;
  d.kind = kind;
  const char* rating = kind == ProtectionKind::resettable ? "hold" : "rating";
  t.exact_quantity(rating, Need::required, Dim::current, above_zero, d.rating.si);
  t.quantity("cold", Need::required, Dim::resistance, above_zero, d.cold.si);
  if (kind == ProtectionKind::fuse) {
    t.quantity("melting", Need::required, Dim::melting_integral, above_zero, d.melting_i2t);
  }
  if (kind == ProtectionKind::resettable) read_resettable_only(t, d);
  read_limits(t, d);
  read_derating(t, d);
  Current interrupting;
  if (t.exact_quantity("interrupting", Need::optional, Dim::current, above_zero, interrupting.si)) {
    d.interrupting = interrupting;
  }
  return d;
}

}  // namespace

DeviceSpec read_battery_device(TableReader& t) {
  BatteryDevice d;
  t.text("chemistry", Need::required, "lead-acid agm", d.chemistry);
  t.exact_quantity("nominal", Need::required, Dim::voltage, above_zero, d.nominal.si);
  t.quantity("capacity", Need::required, Dim::charge, above_zero, d.capacity.si);
  const bool full = t.quantity("open_circuit_full", Need::required, Dim::voltage, above_zero, d.open_circuit_full.si);
  t.quantity("open_circuit_empty", Need::required, Dim::voltage, above_zero, d.open_circuit_empty.si);
  t.quantity("internal", Need::required, Dim::resistance, above_zero, d.internal.si);
  if (full && d.open_circuit_full <= d.open_circuit_empty) {
    t.error("open_circuit_full", "catalogue.battery-figures",
            fmt::format("the full voltage of {} is not above the empty one", t.what()), "they are probably exchanged");
  }
  read_open_circuit(t, d);
  refuse_other_ends(t, d);
  read_internal_at(t, d);
  t.number("peukert_exponent", Need::optional, {1.0, 2.0}, d.peukert_exponent);
  t.exact_quantity("rated_time", Need::optional, Dim::time, above_zero, d.rated_time.si);
  Voltage cutoff;
  if (t.exact_quantity("cutoff", Need::optional, Dim::voltage, above_zero, cutoff.si)) d.cutoff = cutoff;
  Current most;
  if (t.exact_quantity("max_discharge", Need::optional, Dim::current, above_zero, most.si)) d.max_discharge = most;
  if (d.cutoff && full && *d.cutoff >= d.open_circuit_full) {
    t.error("cutoff", "catalogue.battery-figures",
            fmt::format("the cutoff of {} is not below its full open-circuit voltage", t.what()));
  }
  return d;
}

DeviceSpec read_fuse(TableReader& t) {
  return read_protection(t, ProtectionKind::fuse);
}
DeviceSpec read_breaker(TableReader& t) {
  return read_protection(t, ProtectionKind::breaker);
}
DeviceSpec read_resettable(TableReader& t) {
  return read_protection(t, ProtectionKind::resettable);
}

DeviceSpec read_connector(TableReader& t) {
  ConnectorDevice d;
  t.quantity("contact", Need::required, Dim::resistance, above_zero, d.contact.si);
  t.exact_quantity("rating", Need::required, Dim::current, above_zero, d.rating.si);
  d.wire_smallest = read_terminal_size(t, "wire_smallest");
  d.wire_largest = read_terminal_size(t, "wire_largest");
  if (d.wire_smallest && d.wire_largest && *d.wire_largest < *d.wire_smallest) {
    t.error("wire_largest", "catalogue.empty-range", fmt::format("wire_largest of {} is below wire_smallest", t.what()),
            "the larger the gauge number, the thinner the wire");
  }
  return d;
}

}  // namespace ringout::robot
