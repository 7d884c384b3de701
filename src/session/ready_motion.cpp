// Go/no-go: the disconnect proved, then supply and protection under a first small load.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "link/words.h"
#include "session/session.h"

namespace ringout::session {
namespace {

constexpr Duration hand_time = Duration::milliseconds(120'000);
constexpr Duration settle_time = Duration::milliseconds(5'000);
constexpr Duration glance = Duration::milliseconds(50);
constexpr double fallen = 0.5;                  // of the supply at rest: below this it counts as cut
constexpr double returned = 0.9;                // of the supply at rest
constexpr Current current_seen = amperes(0.1);  // twice the step of a 10-bit sense of 0.1 V/A at 5 V

double mean_adc(const std::vector<capture::Sample>& samples, std::uint8_t channel) {
  double sum = 0.0;
  for (const capture::Sample& sample : samples) sum += sample.adc.at(channel);
  return samples.empty() ? 0.0 : sum / static_cast<double>(samples.size());
}

Voltage pin(const robot::Board& board, double raw) {
  return board.logic * (raw / std::exp2(board.adc_bits));
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
  s.limit = fmt::format("supply stays above {:.2f} V; current seen behind each protection; as little sag as drawn",
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
    s.remedy = "look at the battery's age and charge, its leads and the main breaker's contacts";
  }
  return s;
}

// What a bump of a port drew: its bank's current, and the lowest supply seen.
Session::Drawn Session::drawn_by(const robot::BoardPort& port, std::size_t first_record) const {
  const robot::Board& board = setup_.robot.board;
  const auto bank = std::find_if(board.banks.begin(), board.banks.end(),
                                 [&](const robot::BoardBank& b) { return b.name == port.bank; });
  Drawn drawn{.current = std::nullopt, .lowest = volts(1000)};
  for (std::size_t i = first_record; i < load_bumps_.size(); ++i) {
    const capture::BumpRecord& record = load_bumps_[i];
    for (const capture::Sample& sample : record.during) {
      drawn.lowest = std::min(drawn.lowest, pin(board, sample.adc.at(board.supply_adc)) * board.supply_divider_ratio);
    }
    if (bank == board.banks.end() || !bank->sense_adc) continue;
    const double raw = mean_adc(record.during, *bank->sense_adc) - mean_adc(record.before, *bank->sense_adc);
    const Current seen = amperes(pin(board, raw).in(volts(1)) / bank->sense_volts_per_ampere);
    drawn.current = drawn.current ? std::max(*drawn.current, seen) : seen;
  }
  return drawn;
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
    const Drawn drawn = drawn_by(port, first);
    if (drawn.current && *drawn.current < current_seen) continue;
    const std::string amperes_text = drawn.current ? fmt::format("{:.2f} A, ", drawn.current->in(amperes(1))) : "";
    add(fmt::format("{}: {}{:.2f} V at {}", protection, amperes_text, drawn.lowest.in(volts(1)), port.name));
    return {};
  }
  if (count == 0) return {};
  s.verdict = StepVerdict::bad;
  add(fmt::format("{}: no current at {}", protection, tried));
  s.remedy = "look at " + protection + ", and at the supply wires and plugs from it to " + tried;
  return {};
}

}  // namespace ringout::session
