// One point by itself, for fault finding: a bump of one output, a look at it, one input worked by hand. The same
// permission, bounds and questions as in a proving.
#include <algorithm>

#include "prove/hand_proof.h"
#include "session/session.h"

namespace ringout::session {
namespace {

constexpr Duration looked_at = Duration::milliseconds(300);

}  // namespace

Result<std::uint8_t> Session::bridge_of(const std::string& output) const {
  const robot::Output* drawn = setup_.robot.output(output);
  if (drawn == nullptr || setup_.robot.port_of(drawn->port).kind != robot::PortKind::bridge) {
    return failure(ErrorKind::refused, "session.no-bump", output + " sits on no port that can be bumped");
  }
  return setup_.robot.port_of(drawn->port).index;
}

Result<std::uint8_t> Session::bridge_with_room(const std::string& output) const {
  const Result<std::uint8_t> bridge = bridge_of(output);
  if (bridge && pairs_left(*bridge) < 1) {
    return failure(ErrorKind::refused, "session.no-bump-left",
                   setup_.robot.output(output)->port + " has had all the bumps that its room allows in this session");
  }
  return bridge;
}

// Between two bumps hands may have been in the machine, with the supply off for them.
Result<void> Session::prepare_again() {
  if (disconnect_proved_) {
    const Result<link::AgentStatus> status = client_.status();
    const Voltage needed = setup_.robot.board.supply_low;
    if (status && status->supply < needed) {
      if (Result<void> on = supply_on_again(); !on) return on;
    }
  }
  return prepare_bumps();
}

int Session::bumps_left(const std::string& output) const {
  const Result<std::uint8_t> bridge = bridge_of(output);
  return bridge ? std::max(0, pairs_left(*bridge)) : 0;
}

Result<std::vector<capture::BumpRecord>> Session::bump_output(const std::string& output) {
  const Result<std::uint8_t> bridge = bridge_with_room(output);
  if (!bridge) return tl::unexpected<Error>(bridge.error());
  if (Result<void> prepared = prepare_again(); !prepared) return tl::unexpected<Error>(prepared.error());
  std::vector<capture::BumpRecord> records;
  if (Result<void> bumped = bump_pair(*bridge, records); !bumped) return tl::unexpected<Error>(bumped.error());
  if (Result<void> quiet = quiet_line(); !quiet) return tl::unexpected<Error>(quiet.error());
  return records;
}

Result<prove::Evidence> Session::watch_output(const std::string& output) {
  const Result<std::uint8_t> bridge = bridge_with_room(output);
  if (!bridge) return tl::unexpected<Error>(bridge.error());
  if (Result<void> prepared = prepare_again(); !prepared) return tl::unexpected<Error>(prepared.error());
  Proving proving;
  if (Result<void> looked = look_at(prove::look_for(setup_.robot, *bridge, output), proving); !looked)
    return tl::unexpected<Error>(looked.error());
  if (Result<void> quiet = quiet_line(); !quiet) return tl::unexpected<Error>(quiet.error());
  return std::move(proving.evidence);
}

Result<capture::HandRecord> Session::work_input(const std::string& input) {
  const robot::Input* drawn = setup_.robot.input(input);
  const std::string action =
      drawn == nullptr || drawn->hand_action.empty() ? "work " + input + " by hand" : drawn->hand_action;
  Result<capture::HandRecord> record = hand_record(input, action);
  if (!record) return record;
  tell(HandRecorded{.record = *record});
  if (Result<void> quiet = quiet_line(); !quiet) return tl::unexpected<Error>(quiet.error());
  return record;
}

Result<std::vector<capture::Sample>> Session::samples_at_rest() {
  if (Result<void> started = start_samples(); !started) return tl::unexpected<Error>(started.error());
  Result<std::vector<capture::Sample>> samples = samples_over(looked_at);
  if (Result<void> quiet = quiet_line(); !quiet) return tl::unexpected<Error>(quiet.error());
  return samples;
}

}  // namespace ringout::session
