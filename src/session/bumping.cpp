// One bump with all sensors watched, within the plan's bounds and its budget.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/check.h"
#include "link/words.h"
#include "prove/response.h"
#include "session/session.h"

namespace ringout::session {
namespace {

// A line may lose a bump's answer now and then; more often than this it is not to be worked with.
constexpr int tries = 3;

bool surely_not_done(const Error& why) {
  return why.id == "link.bump-lost" || why.id == "link.too-late";
}

std::string clearance_text(const robot::Output& output) {
  const robot::Mechanism& m = *output.mechanism;
  const double shown = m.travel_is_length ? m.bump_clearance * 1e3 : m.bump_clearance * 180.0 / pi;
  return "Is '" + output.name + "' near the middle of its travel, with at least " + std::to_string(std::lround(shown)) +
         (m.travel_is_length ? " mm" : " degrees") + " free to both of its ends?";
}

// A self-locking gear cannot be pushed at its load, and what hangs may fall while it is turned.
std::string centring_text(const robot::Mechanism& m) {
  return std::string(m.lifted.si > 0.0 ? "support its load, then bring it" : "bring it") +
         " to the middle of its travel by hand" + (m.self_locking ? " (turn its screw or its motor's shaft)" : "") +
         ", with the supply disconnected, and start again";
}

}  // namespace

Result<void> Session::ask_clearances() {
  if (clearances_given_) return {};
  for (const std::string& words : prove::coverage_of(setup_.robot, plan_)) tell(Notice{words});
  for (const robot::Output& output : setup_.robot.outputs) {
    if (!output.mechanism || !output.mechanism->travel) continue;
    const Question question{.id = "clearance." + output.name,
                            .topic = Topic::confirm,
                            .text = clearance_text(output),
                            .choices = {{"yes", "yes, it is there"}, {"no", "no, or it cannot be seen"}}};
    const Result<std::string> answer = ask(question);
    if (!answer) return tl::unexpected<Error>(answer.error());
    if (*answer != "yes") {
      return failure(ErrorKind::stopped, "session.no-clearance",
                     "'" + output.name + "' has not the room that small bumps need, so nothing moved",
                     centring_text(*output.mechanism));
    }
  }
  clearances_given_ = true;
  return {};
}

// All that must be true before the first bump.
Result<void> Session::prepare_bumps() {
  if (!plan_.conflicts.empty()) {
    std::string all;
    for (const std::string& conflict : plan_.conflicts) all += (all.empty() ? "" : "; ") + conflict;
    return failure(ErrorKind::refused, "session.no-safe-bump", "no bump is safe for every device of this robot: " + all,
                   "state more clearance in the robot file and provide it, or lower max_level");
  }
  if (Result<void> suits = run_control_suits(); !suits) return suits;
  if (Result<void> suits = controller_suits(); !suits) return suits;
  if (Result<void> ready = before_motion(); !ready) return ready;
  if (Result<void> room = ask_clearances(); !room) return room;
  return start_samples();
}

int Session::pairs_left(std::uint8_t bridge) const {
  const HalvesMade& made = halves_made_.at(bridge);
  return plan_.pairs_allowed - std::max(made.out, made.back);
}

Result<capture::BumpRecord> Session::bump_once(std::uint8_t bridge, int level_permille) {
  wire::Bump order{.motion = {},
                   .port = bridge,
                   .level_permille = static_cast<std::int16_t>(level_permille),
                   .slope_permille_per_ms = static_cast<std::uint16_t>(plan_.slope_permille_per_ms),
                   .duration_ms = static_cast<std::uint16_t>(plan_.duration_ms),
                   .encoder_allowance = plan_.encoder_allowance,
                   .analogue_allowance = plan_.analogue_allowance,
                   .allowed_switches = plan_.allowed_switches};
  capture::BumpRecord record;
  record.command = {.bridge = bridge,
                    .level_permille = level_permille,
                    .slope_permille_per_ms = plan_.slope_permille_per_ms,
                    .duration_ms = plan_.duration_ms};
  Result<link::Permission> permission = this->permission();
  if (!permission) return tl::unexpected<Error>(permission.error());
  samples_.clear();
  if (Result<void> quiet = permission->wait_until(client_.now() + Duration::milliseconds(plan_.quiet_before_ms));
      !quiet) {
    return tl::unexpected<Error>(quiet.error());
  }
  // A switch that chatters at rest says nothing about this bump.
  order.allowed_switches = static_cast<std::uint16_t>(order.allowed_switches | prove::restless_switches(samples_));
  tell(BumpStarts{.port = port_name(robot::PortKind::bridge, bridge),
                  .level_permille = level_permille,
                  .duration_ms = plan_.duration_ms});
  int& made = level_permille > 0 ? halves_made_.at(bridge).out : halves_made_.at(bridge).back;
  ++made;  // before it is sent: what may have moved counts
  const Result<link::BumpEnded> ended = permission->bump(order);
  if (!ended) {
    if (surely_not_done(ended.error())) --made;
    return tl::unexpected<Error>(ended.error());
  }
  if (Result<void> after = watch_coasting(*permission); !after) return tl::unexpected<Error>(after.error());
  static_assert(static_cast<int>(capture::EndCause::after_reset) == static_cast<int>(wire::StopCause::after_reset));
  record.cause = static_cast<capture::EndCause>(ended->cause);
  const std::int64_t last_us = samples_.empty() ? 0 : samples_.back().clock_us;
  record.ended_us = capture::unwrap32(last_us, ended->clock_us);
  record.started_us = record.ended_us - ended->lasted.ns / 1000;
  for (capture::Sample& sample : samples_) {
    record.lost_samples += sample.lost_before;
    auto& part = sample.clock_us < record.started_us  ? record.before
                 : sample.clock_us <= record.ended_us ? record.during
                                                      : record.after;
    part.push_back(std::move(sample));
  }
  samples_.clear();
  if (Result<void> released = permission->release(); !released) return tl::unexpected<Error>(released.error());
  return record;
}

// A bump that an end switch or a bound has ended may have cost the permission; the coasting is watched all the same.
Result<void> Session::watch_coasting(link::Permission& permission) {
  const Instant until = client_.now() + Duration::milliseconds(plan_.watch_after_ms);
  Result<void> held = permission.wait_until(until);
  while (!held && held.error().id == "link.stopped" && client_.now() < until) {
    held = client_.run_until(until);
  }
  if (!held && held.error().id == "link.stopped") return {};
  return held;
}

Result<capture::BumpRecord> Session::bump_half(std::uint8_t bridge, int level_permille) {
  for (int attempt = 1;; ++attempt) {
    if (Result<void> person = check_person(); !person) return tl::unexpected<Error>(person.error());
    RINGOUT_CHECK(pairs_left(bridge) >= 0);
    Result<capture::BumpRecord> record = bump_once(bridge, level_permille);
    if (record) {
      tell(BumpRecorded{.port = port_name(robot::PortKind::bridge, bridge), .record = *record});
      return record;
    }
    if (Result<void> person = check_person(); !person) return tl::unexpected<Error>(person.error());
    const std::string& id = record.error().id;
    const HalvesMade& made = halves_made_.at(bridge);
    const bool budget = (level_permille > 0 ? made.out : made.back) < plan_.pairs_allowed;
    const bool worth_another = surely_not_done(record.error()) || id == "link.bump-unanswered" || id == "link.let-go" ||
                               id == "link.no-permission" || id == "link.no-reply" || id == "link.hold-lapsed";
    if (!worth_another || !budget || attempt == tries) return record;
    if (Result<void> stopped = client_.stop(); !stopped) return tl::unexpected<Error>(stopped.error());
  }
}

// Out and back.
Result<void> Session::bump_pair(std::uint8_t bridge, std::vector<capture::BumpRecord>& records) {
  for (const int level : {plan_.level_permille, -plan_.level_permille}) {
    Result<capture::BumpRecord> record = bump_half(bridge, level);
    if (!record) return tl::unexpected<Error>(record.error());
    records.push_back(std::move(*record));
    if (Result<void> bore = supply_bore(records.back()); !bore) return bore;
  }
  return {};
}

Result<void> Session::supply_bore(const capture::BumpRecord& record) const {
  const auto cause = static_cast<wire::StopCause>(record.cause);
  const std::string bump = "the bump of " + port_name(robot::PortKind::bridge, record.command.bridge);
  if (cause == wire::StopCause::bank_current) return tl::unexpected<Error>(link::stopped_by(cause, bump));
  if (cause != wire::StopCause::supply_low) return {};
  const robot::Board& board = setup_.robot.board;
  std::string seen;
  if (!record.before.empty() && !record.during.empty()) {
    const auto volts_of = [&board](const capture::Sample& s) {
      return prove::supply_volts(board, s.adc.at(board.supply_adc));
    };
    double lowest = volts_of(record.during.front());
    for (const auto* part : {&record.during, &record.after}) {
      for (const capture::Sample& s : *part) lowest = std::min(lowest, volts_of(s));
    }
    seen = fmt::format(" ({:.2f} V at rest, {:.2f} V at its lowest)", volts_of(record.before.front()), lowest);
  }
  return failure(ErrorKind::stopped, "session.supply-fell",
                 fmt::format("outputs went off during {}: the supply fell below the board's limit of {:.2f} V{}", bump,
                             board.supply_low.in(volts(1)), seen),
                 "charge the battery, or put in one that is not worn; look at its leads, its plug and the main "
                 "breaker's contacts; then go through 'ready' before anything moves again");
}

}  // namespace ringout::session
