// Proving: hands first, because nothing moves by them; then small bumps on one port after another; then questions where
// no sensor could tell, and sensors turned by hand where nothing else turns them. Whatever ends it early, what was
// found until then is handed back and outputs are off.
#include <algorithm>
#include <utility>

#include "prove/hand_proof.h"
#include "prove/response.h"
#include "prove/sensor_supply.h"
#include "session/session.h"

namespace ringout::session {
namespace {

std::string choice_id(const prove::Choice& choice) {
  switch (choice.saw) {
    case prove::Saw::nothing:
      return "nothing";
    case prove::Saw::something_else:
      return "something_else";
    case prove::Saw::device:
      break;
  }
  return choice.point + (choice.direction > 0 ? "+" : choice.direction < 0 ? "-" : "");
}

const char* saw_text(prove::Saw saw) {
  switch (saw) {
    case prove::Saw::device:
      return "device";
    case prove::Saw::something_else:
      return "something_else";
    case prove::Saw::nothing:
      break;
  }
  return "nothing";
}

// What a switch or a bound has ended is not driven that way again: where nothing else covers a motor, its sensor's
// bound is all that holds it, and each repetition would go that far once more.
bool was_cut_short(const std::vector<capture::BumpRecord>& bumps, std::uint8_t bridge) {
  return std::any_of(bumps.begin(), bumps.end(), [bridge](const capture::BumpRecord& bump) {
    return bump.command.bridge == bridge && bump.cause != capture::EndCause::duration_over;
  });
}

// Why it may have been cut short: what comes and goes in an analogue lead looks like a travel beyond the bound.
std::string cut_short_words(const robot::Robot& robot, const prove::Question& question,
                            const std::vector<capture::BumpRecord>& bumps) {
  std::string words = question.port + " is not bumped again to be looked at: a switch or a bound has ended its bump";
  for (const robot::Input& input : robot.inputs) {
    const std::optional<std::uint8_t> channel = robot.port_of(input.port).adc_channel;
    if (input.kind != robot::PointKind::analogue || !channel) continue;
    const bool jumps = std::any_of(bumps.begin(), bumps.end(), [&](const capture::BumpRecord& bump) {
      return bump.command.bridge == question.bridge && bump.cause == capture::EndCause::travel_bound &&
             prove::response_of(robot, bump).rest.at(*channel) == prove::Rest::jumps;
    });
    if (!jumps) continue;
    words += "; the reading of " + input.name +
             " comes and goes while nothing moves, which may be why: mend its lead, then prove again";
  }
  return words;
}

Question question_for(const prove::Question& asked, const std::string& id, const std::string& text) {
  Question question{.id = id + asked.port, .topic = Topic::what_acted, .text = text, .choices = {}};
  for (const prove::Choice& choice : asked.choices) question.choices.push_back({choice_id(choice), choice.text});
  return question;
}

}  // namespace

Proving Session::prove(const ProveOptions& options) {
  Proving proving;
  const auto all = [&]() -> Result<void> {
    if (Result<void> suits = run_control_suits(); !suits) return suits;
    if (Result<void> suits = controller_suits(); !suits) return suits;
    Result<prove::Coded> carried = coded();
    if (!carried) return tl::unexpected<Error>(carried.error());
    proving.coded = std::move(*carried);
    tell(CarriedRead{.coded = *proving.coded});
    if (Result<void> fed = sensors_fed(); !fed) return fed;
    if (Result<void> hands = prove_by_hand(proving, options); !hands) return hands;
    if (Result<void> prepared = prepare_bumps(); !prepared) return prepared;
    if (Result<void> bumped = bump_all(proving); !bumped) return bumped;
    if (Result<void> settled = settle_questions(proving, options.identify); !settled) return settled;
    if (Result<void> turned = turn_by_hand(proving, options); !turned) return turned;
    return ask_of_undriven(proving);
  };
  if (Result<void> done = all(); !done) {
    proving.ended_early = done.error();
    tell(StoppedAll{.why = done.error().message});
    static_cast<void>(client_.stop());  // where the link is gone, the agent's own time limit holds
  } else {
    static_cast<void>(quiet_line());  // only saves line time
  }
  conclude(proving, options.identify);
  return proving;
}

// Without their supply no sensor could see what moves.
Result<void> Session::sensors_fed() {
  const Result<std::vector<capture::Sample>> samples = samples_at_rest();
  if (!samples) return tl::unexpected<Error>(samples.error());
  const std::vector<std::string> silent = prove::without_supply(setup_.robot, *samples);
  if (silent.empty()) return {};
  std::string names;
  for (const std::string& name : silent) names += (names.empty() ? "" : ", ") + name;
  return failure(
      ErrorKind::refused, "session.no-sensor-supply",
      names + " read nothing at once: the supply that they share with the encoders is gone, so nothing moved",
      prove::measure_supply_words(setup_.robot, silent));
}

Result<void> Session::bump_all(Proving& proving) {
  proving.evidence.bumps = load_bumps_;
  std::vector<int> made(wire::max_bridges);
  for (const capture::BumpRecord& record : load_bumps_) {
    if (record.command.level_permille < 0) ++made.at(record.command.bridge);
  }
  for (int pair = 0; pair < plan_.pairs_planned; ++pair) {
    for (const std::uint8_t bridge : plan_.bridges) {
      if (made.at(bridge) > pair || was_cut_short(proving.evidence.bumps, bridge) || pairs_left(bridge) < 1) continue;
      if (Result<void> bumped = bump_pair(bridge, proving.evidence.bumps); !bumped) return bumped;
    }
  }
  return {};
}

// In rounds: all that is open is asked about, then everything is weighed anew. A look is one more bump, so nobody is
// asked about a port whose bump a switch or a bound has ended.
Result<void> Session::settle_questions(Proving& proving, const prove::IdentifyOptions& options) {
  std::vector<bool> told(wire::max_bridges);
  while (true) {
    const prove::Identification now = prove::identify(setup_.robot, proving.evidence, options);
    bool asked = false;
    for (const prove::Question& question : now.questions) {
      if (pairs_left(question.bridge) < 1) continue;
      if (was_cut_short(proving.evidence.bumps, question.bridge)) {
        if (!told.at(question.bridge)) {
          tell(Notice{cut_short_words(setup_.robot, question, proving.evidence.bumps)});
        }
        told.at(question.bridge) = true;
        continue;
      }
      if (Result<void> looked = look_at(question, proving); !looked) return looked;
      asked = true;
    }
    if (!asked) return {};
  }
}

// Outward half while she watches, then the question, then the way back. What she saw against expectation is looked at
// once more on the way back, which costs no further bump: one look alone may be a slip.
Result<void> Session::look_at(const prove::Question& question, Proving& proving) {
  const Result<prove::Choice> seen = look_at_half(question, Half::out, proving);
  if (!seen) return tl::unexpected<Error>(seen.error());
  if (choice_id(*seen) != choice_id(question.choices.front())) {
    const Result<prove::Choice> again = look_at_half(question, Half::back, proving);
    if (!again) return tl::unexpected<Error>(again.error());
    return {};
  }
  Result<capture::BumpRecord> back = bump_half(question.bridge, -plan_.level_permille);
  if (!back) return tl::unexpected<Error>(back.error());
  proving.evidence.bumps.push_back(std::move(*back));
  return supply_bore(proving.evidence.bumps.back());
}

Result<prove::Choice> Session::look_at_half(const prove::Question& question, Half half, Proving& proving) {
  const bool out = half == Half::out;
  const HandAction watch{.id = "watch." + question.port,
                         .hand = Hand::watch,
                         .point = "",
                         .text = "watch the robot: " + question.port + (out ? " is bumped once more" : " goes back")};
  if (Result<void> begun = setup_.person.begin(watch); !begun) return tl::unexpected<Error>(begun.error());
  Result<capture::BumpRecord> record = bump_half(question.bridge, out ? plan_.level_permille : -plan_.level_permille);
  if (!record) return tl::unexpected<Error>(record.error());
  proving.evidence.bumps.push_back(std::move(*record));
  if (Result<void> bore = supply_bore(proving.evidence.bumps.back()); !bore) return tl::unexpected<Error>(bore.error());
  const Question asked = question_for(question, out ? "acted." : "acted_back.",
                                      out ? question.text : "And now, on the way back: what acted, and which way?");
  const Result<std::string> answer = ask(asked);
  if (!answer) return tl::unexpected<Error>(answer.error());
  const auto chosen = std::find_if(question.choices.begin(), question.choices.end(),
                                   [&](const prove::Choice& choice) { return choice_id(choice) == *answer; });
  if (chosen == question.choices.end()) {
    return failure(ErrorKind::bad_input, "session.unknown-answer", "\"" + *answer + "\" is no answer to " + asked.id);
  }
  // A look's direction is always about the outward half.
  const int direction = out ? chosen->direction : -chosen->direction;
  tell(PersonSaw{.port = question.port,
                 .answer = capture::AnswerGiven{.clock_us = proving.evidence.bumps.back().ended_us,
                                                .bridge = question.bridge,
                                                .saw = saw_text(chosen->saw),
                                                .point = chosen->point,
                                                .direction = direction}});
  proving.evidence.looks.push_back(
      {.bridge = question.bridge, .saw = chosen->saw, .point = chosen->point, .direction = direction});
  if (Result<void> started = start_samples(); !started) return tl::unexpected<Error>(started.error());
  return *chosen;
}

void Session::conclude(Proving& proving, const prove::IdentifyOptions& options) {
  prove::Identification identification = prove::identify(setup_.robot, proving.evidence, options);
  proving.findings = std::move(identification.findings);
  prove::leave_unseen_untested(setup_.robot, proving.findings);
  proving.supply = identification.supply;
  prove::add_by_hand(setup_.robot, proving.hands, proving.findings);
  prove::put_told(proving.told, proving.findings);
  proving.agreement = prove::agree(setup_.robot, proving.coded, proving.findings);
}

}  // namespace ringout::session
