#include "plant/deviations.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "robot/document.h"
#include "robot/table_reader.h"

namespace ringout::plant {
namespace {

using robot::Bounds;
using robot::Dimension;
using robot::Need;
using robot::Node;
using robot::TableReader;

constexpr std::array<const char*, 23> kinds = {
    "exchanged",    "on_port",     "leads_reversed",    "channels_swapped",
    "channel_dead", "open_wire",   "intermittent_wire", "blown_protection",
    "weak_battery", "dead_device", "wrong_device",      "jammed",
    "slipping",     "stiff",       "weak_device",       "shorted_wire",
    "dead_port",    "stuck",       "no_sensor_supply",  "end_switches_exchanged",
    "old_firmware", "stale_table", "other_program"};

// How many points a kind names.
struct PointCount {
  std::size_t least = 0;
  std::size_t most = 0;
};

PointCount points_of(DeviationKind kind) {
  constexpr std::size_t any = 64;
  switch (kind) {
    case DeviationKind::exchanged:
      return {2, 2};
    case DeviationKind::on_port:
    case DeviationKind::channel_dead:
    case DeviationKind::wrong_device:
    case DeviationKind::end_switches_exchanged:
      return {1, 1};
    case DeviationKind::leads_reversed:
    case DeviationKind::channels_swapped:
    case DeviationKind::intermittent_wire:
    case DeviationKind::dead_device:
    case DeviationKind::jammed:
    case DeviationKind::slipping:
    case DeviationKind::stiff:
    case DeviationKind::weak_device:
    case DeviationKind::shorted_wire:
    case DeviationKind::stuck:
      return {1, any};
    case DeviationKind::open_wire:
      return {0, any};
    case DeviationKind::blown_protection:
    case DeviationKind::weak_battery:
    case DeviationKind::dead_port:
    case DeviationKind::no_sensor_supply:
    case DeviationKind::old_firmware:
    case DeviationKind::stale_table:
    case DeviationKind::other_program:
      return {0, 0};
  }
  return {};
}

void read_points(TableReader& reader, Deviation& d) {
  const PointCount count = points_of(d.kind);
  if (count.most == 0) return;
  const char* example = count.least == 2 ? "[\"clamp\", \"mist_pump\"]" : "[\"clamp\"]";
  const Need need = count.least > 0 ? Need::required : Need::optional;
  const std::size_t before = reader.found().all().size();
  d.points = reader.texts("points", need, example);
  if (reader.find("points") == nullptr || reader.found().all().size() != before) return;
  if (d.points.size() >= std::max<std::size_t>(count.least, 1) && d.points.size() <= count.most) return;
  const std::string wanted = count.least == 2 ? "two points" : (count.most == 1 ? "one point" : "at least one point");
  reader.error("points", "deviations.point-count",
               fmt::format("\"{}\" names {}", kinds[static_cast<std::size_t>(d.kind)], wanted),
               fmt::format("write for example: points = {}", example));
}

void read_optional(TableReader& reader, const char* key, Dimension dimension, Bounds bounds,
                   std::optional<double>& into) {
  double value = 0.0;
  if (reader.quantity(key, Need::optional, dimension, bounds, value)) into = value;
}

// Only the keys of its kind: another key is reported as unknown.
void read_keys(TableReader& reader, Deviation& d) {
  read_points(reader, d);
  switch (d.kind) {
    case DeviationKind::on_port:
    case DeviationKind::dead_port:
      reader.text("port", Need::required, "OUT8", d.port);
      return;
    case DeviationKind::stiff:
    case DeviationKind::weak_device: {
      double factor = 0.0;
      if (reader.number("factor", Need::optional, Bounds{1.0, 1000.0}, factor)) d.factor = factor;
      return;
    }
    case DeviationKind::channel_dead:
      if (const auto channel = reader.choice("channel", Need::required, {"A", "B"}))
        d.channel.assign(1, *channel == 0 ? 'A' : 'B');
      return;
    case DeviationKind::open_wire: {
      const bool read = reader.text("part", Need::optional, "fuse_lift", d.part);
      const bool no_part = reader.find("part") == nullptr || (read && d.part.empty());
      if (reader.find("points") == nullptr && no_part) {
        reader.error("kind", "deviations.nothing-named", "\"open_wire\" names neither points nor a part",
                     "write points = [\"clamp\"], or part = \"fuse_lift\" for a supply wire");
      }
      return;
    }
    case DeviationKind::intermittent_wire: {
      read_optional(reader, "fraction", Dimension::fraction, robot::up_to_one, d.fraction);
      read_optional(reader, "mean_open", Dimension::time, Bounds{0.001, 3600.0}, d.mean_open_s);
      return;
    }
    case DeviationKind::blown_protection:
      reader.text("part", Need::required, "fuse_lift", d.part);
      return;
    case DeviationKind::weak_battery: {
      read_optional(reader, "state_of_charge", Dimension::fraction, robot::up_to_one, d.state_of_charge);
      double factor = 0.0;
      if (reader.number("resistance_factor", Need::optional, Bounds{0.1, 1000.0}, factor)) d.resistance_factor = factor;
      if (reader.find("state_of_charge") == nullptr && reader.find("resistance_factor") == nullptr) {
        reader.error("kind", "deviations.nothing-named", "\"weak_battery\" does not say how it is weak",
                     "write state_of_charge = \"30 %\" or resistance_factor = 4");
      }
      return;
    }
    case DeviationKind::wrong_device:
      reader.text("device", Need::required, "belt_motor_12v", d.device);
      return;
    case DeviationKind::stale_table:
    case DeviationKind::other_program:
      reader.text("file", Need::required, "../robot_before.toml", d.file);
      return;
    default:
      return;
  }
}

void read_deviation(const SourceText& text, const Node& table, Diagnostics& found, Deviations& into) {
  TableReader reader(text, table, "the deviation", found);
  const auto kind = reader.choice("kind", Need::required, {kinds.begin(), kinds.end()});
  if (!kind) return;
  Deviation d;
  d.kind = static_cast<DeviationKind>(*kind);
  reader.rename(fmt::format("the deviation \"{}\"", kinds[*kind]));
  read_keys(reader, d);
  reader.finish();
  d.places = reader.places();
  d.at = reader.place("kind");
  into.all.push_back(std::move(d));
}

// A place is a length or an angle; which one fits is known only with the robot.
void read_start(const SourceText& text, const Node& table, Diagnostics& found, Deviations& into) {
  for (const robot::Member& m : table.members) {
    const std::string name = robot::shown(m.key);
    const char* example = "write for example \"150 mm\" or \"30 deg\"";
    if (m.value.kind != Node::Kind::text) {
      found.error(text, m.value.span, "deviations.start",
                  fmt::format("the start of \"{}\" must be a length or an angle as text", name), example);
      continue;
    }
    const auto length = robot::read_quantity(m.value.text, Dimension::length);
    const auto angle = robot::read_quantity(m.value.text, Dimension::angle);
    if (!length.si && !angle.si) {
      found.error(
          text, m.value.span, "deviations.start",
          fmt::format("\"{}\" is no length and no angle (the start of \"{}\")", robot::shown(m.value.text), name),
          example);
      continue;
    }
    into.start[m.key] = length.si ? *length.si : *angle.si;
    into.start_places[m.key] = {.at = m.value.span, .is_length = length.si.has_value()};
  }
}

}  // namespace

const char* name_of(DeviationKind kind) {
  return kinds[static_cast<std::size_t>(kind)];
}

std::optional<Deviations> read_deviations(const SourceText& text, Diagnostics& found) {
  const std::size_t before = found.all().size();
  const std::optional<Node> root = robot::read_document(text, found);
  if (!root) return std::nullopt;
  Deviations result;
  TableReader reader(text, *root, "the deviations file", found);
  reader.text("robot", Need::required, "../robot.toml", result.robot_file);
  std::int64_t seed = 1;
  if (reader.integer("seed", Need::optional, 0, INT64_MAX, seed)) result.seed = static_cast<std::uint64_t>(seed);
  if (const Node* start = reader.table("start", Need::optional, "{ lift = \"150 mm\" }")) {
    read_start(text, *start, found, result);
  }
  for (const Node* table : reader.tables("deviation")) read_deviation(text, *table, found, result);
  reader.finish();
  for (std::size_t n = before; n < found.all().size(); ++n) {
    if (found.all()[n].severity == Severity::error) return std::nullopt;
  }
  return result;
}

}  // namespace ringout::plant
