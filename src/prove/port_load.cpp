#include "prove/port_load.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "prove/expectation.h"
#include "prove/response.h"

namespace ringout::prove {

namespace {

// Which way it goes is not known yet: the way that draws more.
Expected largest(const robot::Robot& robot, const robot::Output& output, const Response& r) {
  const Drive drive{
      .level = std::abs(r.level), .slope_per_s = r.slope_per_s, .driven_s = r.driven_s, .volts = r.rest_volts};
  const Expected up = expected_answer(robot, output, drive, Way::positive);
  const Expected down = expected_answer(robot, output, drive, Way::negative);
  return up.amperes >= down.amperes ? up : down;
}

bool within(double read, double expected) {
  const double margin = load_margin.in(amperes(1));
  return read <= load_factor * expected + margin && read >= expected / load_factor - margin;
}

}  // namespace

std::optional<PortLoad> port_load(const robot::Robot& robot, const robot::Output& output,
                                  std::span<const capture::BumpRecord> records) {
  double read = 0.0;
  std::optional<Response> most;
  for (const capture::BumpRecord& record : records) {
    Response r = response_of(robot, record);
    const robot::BoardBank* bank = bank_of(robot.board, r.bridge);
    if (bank == nullptr || !bank->sense_adc || *bank->sense_adc >= r.loaded.size()) continue;
    const double seen = bank_amperes(robot.board, *bank, r.loaded[*bank->sense_adc].delta);
    if (most && seen <= read) continue;
    read = seen;
    most = std::move(r);
  }
  if (!most) return std::nullopt;
  const Expected own = largest(robot, output, *most);
  PortLoad load{.read = amperes(read), .expected = amperes(own.amperes), .other = {}};
  if (within(read, own.amperes)) return load;
  double nearest = 0.0;
  double highest = own.amperes;
  for (const robot::Output& o : robot.outputs) {
    if (o.name == output.name || robot.port_of(o.port).kind != robot::PortKind::bridge) continue;
    const double other = largest(robot, o, *most).amperes;
    highest = std::max(highest, other);
    const double away = std::abs(std::log(std::max(read, 1e-3) / std::max(other, 1e-3)));
    if (!within(read, other) || (!load.other.empty() && away >= nearest)) continue;
    nearest = away;
    load.other = o.name;
  }
  if (!load.other.empty()) {
    load.like = LoadLike::another;
  } else if (read < highest) {
    load.like = read < own.amperes ? LoadLike::less : LoadLike::another;
  } else {
    load.like = read <= above_stalled * own.stalled_amperes ? LoadLike::held : LoadLike::short_cut;
  }
  return load;
}

std::string words_of(const PortLoad& load) {
  const double read = load.read.in(amperes(1));
  if (load.like == LoadLike::drawn) return fmt::format("{:.2f} A as drawn", read);
  std::string words = fmt::format("{:.2f} A where {:.2f} A are drawn", read, load.expected.in(amperes(1)));
  if (!load.other.empty()) words += fmt::format(" (as {} would)", load.other);
  return words;
}

}  // namespace ringout::prove
