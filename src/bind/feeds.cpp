// Battery, protections and the lines that branch between them, down to the ports they feed.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "base/check.h"
#include "bind/row_symbols.h"
#include "bind/sheet.h"
#include "bind/symbols.h"
#include "bind/words.h"

namespace ringout::bind {
namespace {

const robot::Protection* protection_named(const robot::Robot& robot, const std::string& name) {
  const auto at = std::find_if(robot.protections.begin(), robot.protections.end(),
                               [&](const robot::Protection& p) { return p.name == name; });
  return at == robot.protections.end() ? nullptr : &*at;
}

struct Tap {
  double y = 0.0;
  std::string terminal;
  Place at;
};

struct Stage {
  std::string name;
  const robot::Protection* protection = nullptr;  // none: the battery
  std::size_t depth = 0;
  double y = 0.0;
  std::vector<Tap> taps;
};

// Columns of the feed tree: the battery in its own, then one for each depth of protection.
struct FeedColumns {
  std::size_t deepest = 1;

  [[nodiscard]] double pitch() const {
    return (sheet::port - sheet::protection) / static_cast<double>(std::max<std::size_t>(deepest, 1));
  }
  [[nodiscard]] double centre(std::size_t depth) const {
    if (depth == 0) return sheet::supply + 8.0;
    return sheet::protection + pitch() * (static_cast<double>(depth) - 0.5);
  }
  // Where the line stands that branches after a stage of this depth.
  [[nodiscard]] double branch(std::size_t depth) const {
    return depth == 0 ? sheet::protection - 1.0 : sheet::protection + pitch() * static_cast<double>(depth) - 1.0;
  }
};

Symbol symbol_of(const robot::Robot& robot, const Stage& stage) {
  return stage.protection == nullptr ? Symbol::battery : protection_symbol(robot, *stage.protection);
}

std::vector<Stage> stages_of(const robot::Robot& robot, const std::vector<Row>& rows) {
  std::vector<Stage> stages;
  const auto find = [&stages](const std::string& name) {
    return std::find_if(stages.begin(), stages.end(), [&](const Stage& s) { return s.name == name; });
  };
  for (const Row& row : rows) {
    if (row.input != nullptr) continue;
    const auto chain = feed_of(robot, row.is_controller() ? robot.board_fed_by : row.output->fed_by);
    for (std::size_t depth = 0; depth < chain.size(); ++depth) {
      if (find(chain[depth]) != stages.end()) continue;
      stages.push_back({chain[depth], depth == 0 ? nullptr : protection_named(robot, chain[depth]), depth, row.y, {}});
      if (depth > 0) find(chain[depth - 1])->taps.push_back({row.y, chain[depth] + ":in", {}});
    }
    find(chain.back())->taps.push_back({row.y, row.name() + ".port:in", {}});
  }
  return stages;
}

void draw_texts(Drawing& d, const robot::Robot& robot, const Stage& stage, const FeedColumns& columns) {
  const double x = columns.centre(stage.depth);
  const TextStyle name{.size = 2.5, .anchor = Anchor::middle, .weight = Weight::bold};
  const TextStyle figure{.size = 2.3, .anchor = Anchor::middle, .tone = Tone::grey};
  if (stage.protection == nullptr) {
    d.text({x + 0.8, stage.y - 4.2}, stage.name, 19.0, name);
    const auto* battery = robot.device_of(robot.battery.device).as<robot::BatteryDevice>();
    RINGOUT_CHECK(battery != nullptr);
    d.text({x + 0.8, stage.y + 5.6},
           fmt::format("{:.3g} V, {:.3g} Ah", battery->nominal.in(volts(1)), battery->capacity.in(ampere_hours(1))),
           19.0, figure);
    d.text({x + 0.8, stage.y + 8.6}, words_of(robot.battery.wire), 19.0, figure);
    return;
  }
  const double room = columns.pitch() - 3.0;
  d.text({x, stage.y - 4.0}, stage.name, room, name);
  const auto* device = robot.device_of(stage.protection->device).as<robot::ProtectionDevice>();
  RINGOUT_CHECK(device != nullptr);
  std::string figures = fmt::format("{:.3g} A{}", device->rating.in(amperes(1)),
                                    device->kind == robot::ProtectionKind::resettable ? " hold" : "");
  const std::string wire = words_of(stage.protection->wire);
  if (!wire.empty()) figures += " · " + wire;
  d.text({x, stage.y + 5.2}, figures, room, figure);
}

void draw_branches(Drawing& d, const Stage& stage, Place out, double branch_x) {
  if (stage.taps.size() == 1) {
    draw_wire(d, out, stage.taps.front().at, stage.name + ":out", stage.taps.front().terminal);
    return;
  }
  const std::string bus = stage.name + ":branch";
  draw_wire(d, out, {branch_x, stage.y}, stage.name + ":out", bus);
  d.line({branch_x, stage.y}, {branch_x, stage.taps.back().y},
         fmt::format("class=\"branch\" data-name=\"{}\"", escape_xml(bus)));
  for (const Tap& tap : stage.taps) {
    draw_wire(d, {branch_x, tap.y}, tap.at, bus, tap.terminal);
    // A junction is a dot where three ends meet; the last tap is a bend.
    if (tap.y < stage.taps.back().y) d.circle({branch_x, tap.y}, 0.7, "class=\"junction\"");
  }
}

}  // namespace

void draw_wire(Drawing& d, Place from, Place to, const std::string& from_terminal, const std::string& to_terminal) {
  d.line(from, to,
         fmt::format("class=\"wire\" data-from=\"{}\" data-to=\"{}\"", escape_xml(from_terminal),
                     escape_xml(to_terminal)));
}

std::vector<std::string> feed_of(const robot::Robot& robot, const std::string& protection) {
  std::vector<std::string> chain;
  std::string at = protection;
  while (const robot::Protection* p = protection_named(robot, at)) {
    chain.push_back(p->name);
    at = p->fed_from;
    RINGOUT_CHECK(chain.size() <= robot.protections.size());
  }
  chain.push_back(robot.battery.name.empty() ? "battery" : robot.battery.name);
  std::reverse(chain.begin(), chain.end());
  return chain;
}

void draw_feeds(Drawing& d, const robot::Robot& robot, const std::vector<Row>& rows) {
  std::vector<Stage> stages = stages_of(robot, rows);
  FeedColumns columns;
  for (const Stage& stage : stages) columns.deepest = std::max(columns.deepest, stage.depth);
  std::map<std::string, Place> inlets;
  for (const Stage& stage : stages) {
    const double x = columns.centre(stage.depth) - half_width(symbol_of(robot, stage));
    inlets[stage.name + ":in"] = {x, stage.y};
  }
  for (const Row& row : rows) inlets[row.name() + ".port:in"] = {sheet::port + 4.0, row.y};
  for (Stage& stage : stages) {
    for (Tap& tap : stage.taps) tap.at = inlets.at(tap.terminal);
    const Place centre{columns.centre(stage.depth), stage.y};
    draw_branches(d, stage, {centre.x + half_width(symbol_of(robot, stage)), stage.y}, columns.branch(stage.depth));
    draw_symbol(d, symbol_of(robot, stage), centre, stage.name);
    draw_texts(d, robot, stage, columns);
  }
}

}  // namespace ringout::bind
