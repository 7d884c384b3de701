// Go/no-go: the disconnect proved, then supply and protection under a first small load.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "link/words.h"
#include "prove/port_load.h"
#include "prove/response.h"
#include "session/session.h"

namespace ringout::session {
namespace {

constexpr Duration hand_time = Duration::milliseconds(120'000);
constexpr Duration settle_time = Duration::milliseconds(5'000);
constexpr Duration glance = Duration::milliseconds(50);
constexpr double fallen = 0.5;    // of the supply at rest: below this it counts as cut
constexpr double returned = 0.9;  // of the supply at rest

// What to do where it is more than any device of this robot takes that moves; else nothing.
std::string too_much(const prove::PortLoad& load, const robot::Output& output) {
  const std::string measure = fmt::format(
      "supply off, unplug {} at {} and measure across its leads and its terminals: near 0 ohm is a short in "
      "lead, terminals or winding",
      output.name, output.port);
  if (load.like == prove::LoadLike::short_cut) return measure;
  if (load.like == prove::LoadLike::held) {
    return fmt::format("{} is held, or shorted: supply off, see whether it turns by hand; {}", output.name, measure);
  }
  return "";
}

}  // namespace

void Session::ready_with_motion(Readiness& readiness) {
  const bool readings_good = readiness.go();
  ReadyStep waiting;
  waiting.verdict = StepVerdict::not_done;
  waiting.reading = "not done, because a step above is bad";
  for (const bool disconnect : {true, false}) {
    waiting.id = disconnect ? "disconnect" : "load";
    waiting.title = disconnect ? "supply disconnect" : "first small load";
    if (!readings_good || !readiness.go()) {
      step_done(readiness, waiting);
      continue;
    }
    if (Result<void> suits = run_control_suits(); !suits) {
      readiness.ended_early = suits.error();
      return;
    }
    const Result<ReadyStep> done = disconnect ? check_disconnect() : check_first_load();
    if (!done) {
      static_cast<void>(client_.stop());  // the error below is what the person must hear first
      readiness.ended_early = done.error();
      return;
    }
    step_done(readiness, *done);
  }
}

// Waits until the supply has gone where it should. A board that is fed by the supply alone falls silent instead.
Result<Voltage> Session::supply_until(const std::function<bool(Voltage)>& reached) {
  const Instant deadline = client_.now() + settle_time;
  while (true) {
    const Result<link::AgentStatus> status = client_.status();
    const Voltage supply = status ? status->supply : volts(0);
    if (!status && setup_.robot.board.usb_powered) return tl::unexpected<Error>(status.error());
    if (reached(supply) || client_.now() >= deadline) return supply;
    if (Result<void> watched = watch(glance); !watched) return tl::unexpected<Error>(watched.error());
  }
}

Result<ReadyStep> Session::check_disconnect() {
  ReadyStep s;
  s.id = "disconnect";
  s.title = "supply disconnect";
  const Result<link::AgentStatus> before = client_.status();
  if (!before) return tl::unexpected<Error>(before.error());
  // It is cleared below together with what the open disconnect latches, so it is said now.
  if (before->faults != 0) tell(Notice{"latched by the controller before: " + link::words_for_faults(before->faults)});
  const Voltage rest = before->supply;
  const Voltage least = setup_.robot.board.supply_low;
  if (rest < least) {
    s.reading = fmt::format("{:.2f} V: there is no supply to cut", rest.in(volts(1)));
    s.limit = fmt::format("closed: at least {:.2f} V", least.in(volts(1)));
    s.verdict = StepVerdict::bad;
    s.remedy = "connect the battery and close the disconnect first";
    return s;
  }
  s.limit = fmt::format("open: below {:.2f} V, closed: above {:.2f} V", rest.in(volts(1)) * fallen,
                        rest.in(volts(1)) * returned);
  const HandAction open{
      .id = "disconnect.open", .hand = Hand::open_disconnect, .point = "", .text = "open the supply disconnect"};
  const Result<Progress> opened = act(open, hand_time, {});
  if (!opened) return tl::unexpected<Error>(opened.error());
  if (*opened != Progress::done) {
    s.reading = "it was not opened";
    s.verdict = StepVerdict::not_done;
    s.remedy = "nothing moves before the disconnect is proved";
    return s;
  }
  const Result<Voltage> low = supply_until([&](Voltage v) { return v < rest * fallen; });
  if (!low) return tl::unexpected<Error>(low.error());
  const HandAction close{.id = "disconnect.close",
                         .hand = Hand::close_disconnect,
                         .point = "",
                         .text = "close the supply disconnect; nothing moves by it"};
  const Result<Progress> closed = act(close, hand_time, {});
  if (!closed) return tl::unexpected<Error>(closed.error());
  if (!setup_.robot.board.usb_powered) {
    if (const auto again = client_.hello(); !again) return tl::unexpected<Error>(again.error());
  }
  const Result<Voltage> high = supply_until([&](Voltage v) { return v > rest * returned; });
  if (!high) return tl::unexpected<Error>(high.error());
  s.reading =
      fmt::format("{:.2f} V, open {:.2f} V, closed {:.2f} V", rest.in(volts(1)), low->in(volts(1)), high->in(volts(1)));
  const bool cuts = *low < rest * fallen;
  const bool back = *high > rest * returned;
  s.verdict = cuts && back ? StepVerdict::good : StepVerdict::bad;
  if (!cuts) s.remedy = "it does not cut the motor supply: have it put right before anything moves";
  if (cuts && !back)
    s.remedy = "the supply did not come back: look at the disconnect, the main breaker and the battery";
  disconnect_proved_ = s.verdict == StepVerdict::good;
  // The open disconnect latched "supply too low"; its cause is known.
  if (Result<void> cleared = client_.clear_faults(); !cleared) return tl::unexpected<Error>(cleared.error());
  return s;
}

Result<ReadyStep> Session::check_first_load() {
  ReadyStep s;
  s.id = "load";
  s.title = "first small load";
  s.limit = fmt::format(
      "supply stays above {:.2f} V; behind each protection a current of this robot's devices; as little sag as drawn",
      setup_.robot.board.supply_low.in(volts(1)));
  s.verdict = StepVerdict::good;
  if (Result<void> prepared = prepare_bumps(); !prepared) return tl::unexpected<Error>(prepared.error());
  for (const robot::Protection& protection : setup_.robot.protections) {
    if (Result<void> loaded = load_feed(protection.name, s); !loaded) return tl::unexpected<Error>(loaded.error());
  }
  if (Result<void> quiet = quiet_line(); !quiet) return tl::unexpected<Error>(quiet.error());
  prove::Evidence evidence;
  evidence.bumps = load_bumps_;
  const prove::SupplyFinding supply = prove::identify(setup_.robot, evidence, {}).supply;
  if (supply.weak) {
    s.verdict = StepVerdict::bad;
    s.reading += "; " + supply.evidence;
    s.remedy += (s.remedy.empty() ? "" : "; ") +
                std::string("look at the battery's age and charge, its leads and the main breaker's contacts");
  }
  return s;
}

// Lowest supply over the load bumps from this one on.
Voltage Session::lowest_supply(std::size_t first_record) const {
  const robot::Board& board = setup_.robot.board;
  Voltage lowest = volts(1000);
  for (std::size_t i = first_record; i < load_bumps_.size(); ++i) {
    for (const capture::Sample& sample : load_bumps_[i].during) {
      lowest = std::min(lowest, volts(prove::supply_volts(board, sample.adc.at(board.supply_adc))));
    }
  }
  return lowest;
}

// Bumps the ports that one protection feeds, one after another, until one of them takes a current.
Result<void> Session::load_feed(const std::string& protection, ReadyStep& s) {
  constexpr int tried_at_most = 4;
  std::string tried;
  int count = 0;
  const auto add = [&s](const std::string& text) { s.reading += (s.reading.empty() ? "" : "; ") + text; };
  for (const robot::Output& output : setup_.robot.outputs) {
    const robot::BoardPort& port = setup_.robot.port_of(output.port);
    const bool fed = output.fed_by == protection && port.kind == robot::PortKind::bridge;
    if (!fed || count == tried_at_most || pairs_left(port.index) < 1) continue;
    ++count;
    tried += (tried.empty() ? "" : ", ") + port.name;
    const std::size_t first = load_bumps_.size();
    if (Result<void> bumped = bump_pair(port.index, load_bumps_); !bumped) return bumped;
    const auto load = prove::port_load(setup_.robot, output, std::span(load_bumps_).subspan(first));
    if (load && load->read < prove::load_margin) continue;
    const std::string current = load ? words_of(*load) : "current not measured (no current sense)";
    add(fmt::format("{}: {}, {:.2f} V at {}", protection, current, lowest_supply(first).in(volts(1)), port.name));
    if (!load) return {};
    const std::string remedy = too_much(*load, output);
    if (remedy.empty()) return {};
    s.verdict = StepVerdict::bad;
    s.remedy += (s.remedy.empty() ? "" : "; ") + remedy;
    return {};
  }
  if (count == 0) return {};
  s.verdict = StepVerdict::bad;
  add(fmt::format("{}: no current at {}", protection, tried));
  s.remedy += (s.remedy.empty() ? "" : "; ") + std::string("look at ") + protection +
              ", and at the supply wires and plugs from it to " + tried;
  return {};
}

}  // namespace ringout::session
