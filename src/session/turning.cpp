// Sensors of what no motor has moved: the person turns it by hand, with the supply off, and the sensors are watched.
#include <algorithm>
#include <utility>

#include "session/session.h"

namespace ringout::session {
namespace {

constexpr Duration hand_time = Duration::milliseconds(120'000);
constexpr Duration looked_at = Duration::milliseconds(300);
constexpr Duration turning_on = Duration::milliseconds(1'500);  // after she says that it is turned
constexpr std::ptrdiff_t most_samples = 5'000;                  // the last ten seconds
constexpr Duration glance = Duration::milliseconds(20);

Question turn_question(const std::vector<prove::TurnRequest>& requests, bool usb_powered) {
  std::string names;
  for (const prove::TurnRequest& request : requests) names += (names.empty() ? "" : ", ") + request.input;
  return {
      .id = "turn_by_hand",
      .topic = Topic::confirm,
      .text = "Nothing has moved what " + names + (requests.size() == 1 ? " senses, so it is" : " sense, so they are") +
              " not tested. Will you turn it by hand, with " +
              (usb_powered ? "the supply off" : "its motor unplugged, because the supply stays on for the controller") +
              "? What is raised or under a spring is blocked first; hands keep clear of where gears, belts and arms "
              "pinch.",
      .choices = {{"yes", "yes"}, {"no", "no: leave it untested"}},
      .unless_said = "no"};
}

}  // namespace

// She may leave out all of it, or one of them: then it stays untested.
Result<void> Session::turn_by_hand(Proving& proving, const ProveOptions& options) {
  std::vector<prove::TurnRequest> requests =
      prove::turn_requests(setup_.robot, prove::identify(setup_.robot, proving.evidence, options.identify).findings);
  const auto& only = options.only_by_hand;
  std::erase_if(requests, [&](const prove::TurnRequest& request) {
    return !only.empty() && std::find(only.begin(), only.end(), request.input) == only.end();
  });
  if (requests.empty()) return {};
  const Result<std::string> answer = ask(turn_question(requests, setup_.robot.board.usb_powered));
  if (!answer) return tl::unexpected<Error>(answer.error());
  if (*answer != "yes") return {};
  const Result<bool> off = supply_off_for_hands();
  if (!off) return tl::unexpected<Error>(off.error());
  if (!*off) return {};
  for (const prove::TurnRequest& request : requests) {
    Result<capture::HandRecord> record = turned_record(request);
    if (!record) return tl::unexpected<Error>(record.error());
    tell(HandRecorded{.record = *record});
    proving.hands.push_back(std::move(*record));
  }
  if (Result<void> quiet = quiet_line(); !quiet) return quiet;
  return setup_.robot.board.usb_powered ? supply_on_again() : Result<void>{};
}

// A controller that lives on the supply it switches must keep it: then the outputs are off, and no more than that.
Result<bool> Session::supply_off_for_hands() {
  if (!setup_.robot.board.usb_powered) return true;
  const HandAction open{.id = "disconnect.open",
                        .hand = Hand::open_disconnect,
                        .point = "",
                        .text = "open the supply disconnect: hands will be in the machine"};
  const Result<Progress> opened = act(open, hand_time, {});
  if (!opened) return tl::unexpected<Error>(opened.error());
  const Voltage least = setup_.robot.board.supply_low;
  const Result<Voltage> supply = supply_until([&](Voltage v) { return v < least; });
  if (!supply) return tl::unexpected<Error>(supply.error());
  if (*opened == Progress::done && *supply < least) return true;
  tell(Notice{"the supply is still on, so nothing is turned by hand"});
  if (*opened != Progress::done) return false;
  if (Result<void> on = supply_on_again(); !on) return tl::unexpected<Error>(on.error());
  return false;
}

Result<void> Session::supply_on_again() {
  const HandAction close{.id = "disconnect.close",
                         .hand = Hand::close_disconnect,
                         .point = "",
                         .text = "the supply is off: hands out, then close the supply disconnect"};
  const Result<Progress> closed = act(close, hand_time, {});
  if (!closed) return tl::unexpected<Error>(closed.error());
  const Voltage needed = setup_.robot.board.supply_low;
  const Result<Voltage> back = supply_until([&](Voltage v) { return v > needed; });
  if (!back) return tl::unexpected<Error>(back.error());
  return client_.clear_faults();
}

Result<capture::HandRecord> Session::turned_record(const prove::TurnRequest& request) {
  capture::HandRecord record;
  record.input = request.input;
  if (Result<void> started = start_samples(); !started) return tl::unexpected<Error>(started.error());
  auto before = samples_over(looked_at);
  if (!before) return tl::unexpected<Error>(before.error());
  record.before = std::move(*before);
  const std::string& positive = setup_.robot.output(request.output)->positive_means;
  const HandAction turn{
      .id = "turn." + request.input,
      .hand = Hand::turn,
      .point = request.input,
      .text = std::string(setup_.robot.board.usb_powered ? "" : "unplug the motor of " + request.output + "; then ") +
              "turn " + request.output + " by hand, a quarter of a turn or as far as it goes freely" +
              (positive.empty() ? ", its positive way" : ", the way that it " + positive) +
              "; where the gear holds it, turn the motor's shaft"};
  const auto enough = [&] {
    return !record.before.empty() && !samples_.empty() &&
           prove::turned_enough(setup_.robot, record.before.back(), samples_.back());
  };
  samples_.clear();
  const Result<Progress> turned = act(turn, hand_time, enough);
  if (!turned) return tl::unexpected<Error>(turned.error());
  record.done = *turned == Progress::done;
  const Instant until = client_.now() + turning_on;
  while (record.done && !enough() && client_.now() < until) {
    if (Result<void> watched = watch(glance); !watched) return tl::unexpected<Error>(watched.error());
  }
  record.during = std::exchange(samples_, {});
  if (std::ssize(record.during) > most_samples) {
    record.during.erase(record.during.begin(), record.during.end() - most_samples);
  }
  const HandAction let_go{
      .id = "let_go." + request.input, .hand = Hand::let_go, .point = request.input, .text = "let go"};
  const Result<Progress> gone = act(let_go, hand_time, {});
  if (!gone) return tl::unexpected<Error>(gone.error());
  auto after = samples_over(looked_at);
  if (!after) return tl::unexpected<Error>(after.error());
  record.after = std::move(*after);
  if (!record.done) return record;
  const Result<int> way = way_turned(request);
  if (!way) return tl::unexpected<Error>(way.error());
  record.direction = *way;
  return record;
}

Result<int> Session::way_turned(const prove::TurnRequest& request) {
  const std::string& positive = setup_.robot.output(request.output)->positive_means;
  const Question which{.id = "turned." + request.input,
                       .topic = Topic::which_way,
                       .text = "Which way did you turn " + request.output + "?",
                       .choices = {{request.output + "+", positive.empty() ? "its positive way" : "it " + positive},
                                   {request.output + "-", "the other way"},
                                   {"not_known", "to and fro, or I cannot say"}},
                       .unless_said = "not_known"};
  const Result<std::string> answer = ask(which);
  if (!answer) return tl::unexpected<Error>(answer.error());
  return *answer == which.choices[0].id ? 1 : *answer == which.choices[1].id ? -1 : 0;
}

}  // namespace ringout::session
