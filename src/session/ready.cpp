// Go/no-go: each step in order, with its reading, its limit and its remedy. Readings first; then what moves.
#include <fmt/format.h>

#include <algorithm>

#include "bind/point_table.h"
#include "link/words.h"
#include "robot/fingerprint.h"
#include "session/session.h"

namespace ringout::session {
namespace {

ReadyStep step(std::string id, std::string title) {
  ReadyStep s;
  s.id = std::move(id);
  s.title = std::move(title);
  return s;
}

StepVerdict verdict(bool good) {
  return good ? StepVerdict::good : StepVerdict::bad;
}

std::string hexadecimal(std::uint32_t value) {
  return fmt::format("{:08X}", value);
}

// Below this a lead-acid battery sags under its first load and ages by every use; taken on the drawn battery's straight
// line from empty to full open-circuit voltage.
constexpr double least_charge = 0.2;

std::string low_words(const robot::BatteryDevice& battery, Voltage rest) {
  const double empty = battery.open_circuit_empty.in(volts(1));
  const double charge = (rest.in(volts(1)) - empty) / (battery.open_circuit_full.in(volts(1)) - empty);
  if (charge < 0.03) return ", low: empty";
  return fmt::format(", low: about {:.0f} % charge", 100.0 * charge);
}

}  // namespace

bool Readiness::go() const {
  return !ended_early && !steps.empty() &&
         std::all_of(steps.begin(), steps.end(), [](const ReadyStep& one) { return one.verdict == StepVerdict::good; });
}

void Session::step_done(Readiness& readiness, ReadyStep step) const {
  tell(step);
  readiness.steps.push_back(std::move(step));
}

Readiness Session::ready(ReadyDepth depth) {
  Readiness readiness;
  ReadyStep linked = step("link", "link");
  linked.limit = "answers, same version of the link";
  const Result<link::Controller> controller = client_.hello();
  linked.verdict = verdict(controller.has_value());
  if (!controller) {
    linked.reading = controller.error().message;
    linked.remedy = controller.error().hint;
    step_done(readiness, linked);
    readiness.ended_early = controller.error();
    return readiness;
  }
  linked.reading = fmt::format("{}, answers in {:.1f} ms, last reset by {}", setup_.stream.name(),
                               client_.last_round_trip().in_milliseconds(), link::words_for(controller->reset_cause));
  step_done(readiness, linked);

  for (const auto check : {&Session::check_supply, &Session::check_identity, &Session::check_firmware,
                           &Session::check_program, &Session::check_table, &Session::check_inputs}) {
    const Result<ReadyStep> done = (this->*check)();
    if (!done) {
      readiness.ended_early = done.error();
      return readiness;
    }
    step_done(readiness, *done);
  }
  if (depth == ReadyDepth::readings) return readiness;
  ready_with_motion(readiness);
  return readiness;
}

Result<ReadyStep> Session::check_supply() {
  ReadyStep s = step("supply", "supply at rest");
  const Result<link::AgentStatus> status = client_.status();
  if (!status) return tl::unexpected<Error>(status.error());
  const robot::Board& board = setup_.robot.board;
  const auto* battery = setup_.robot.device_of(setup_.robot.battery.device).as<robot::BatteryDevice>();
  Voltage lowest = board.supply_low;
  Voltage highest = volts(1000);
  s.reading = fmt::format("{:.2f} V", status->supply.in(volts(1)));
  if (battery) {
    const Voltage range = battery->open_circuit_full - battery->open_circuit_empty;
    lowest = std::max(lowest, battery->open_circuit_empty + least_charge * range);
    highest = battery->open_circuit_full * 1.05;
    if (status->supply < lowest && status->supply > volts(1)) s.reading += low_words(*battery, status->supply);
  }
  s.limit = fmt::format("{:.2f} to {:.2f} V", lowest.in(volts(1)), highest.in(volts(1)));
  s.verdict = verdict(status->supply >= lowest && status->supply <= highest);
  if (status->supply < volts(1)) {
    s.remedy = "close the supply disconnect; then look at the main breaker and the battery's leads";
  } else if (status->supply < lowest) {
    s.remedy = fmt::format(
        "charge the battery as its maker says, or put in a charged one: at least {:.0f} % before "
        "anything moves",
        100.0 * least_charge);
  } else if (status->supply > highest) {
    s.remedy = "this is not the battery that is drawn; do not go on with it";
  }
  return s;
}

Result<ReadyStep> Session::check_identity() {
  ReadyStep s = step("identity", "controller");
  s.reading = client_.controller().identity_text();
  s.limit = setup_.identity.value_or("any, for the first time");
  s.verdict = verdict(!setup_.identity || *setup_.identity == s.reading);
  if (s.verdict == StepVerdict::bad) {
    s.remedy = "this is another controller than last time: load its table, and prove every point again";
  }
  return s;
}

Result<ReadyStep> Session::check_firmware() {
  ReadyStep s = step("firmware", "firmware");
  const link::Controller& c = client_.controller();
  const std::uint32_t board = bind::board_fingerprint(setup_.robot.board);
  constexpr std::uint32_t needed = wire::feature_table | wire::feature_motion | wire::feature_stream;
  const bool whole = (c.features & needed) == needed;
  const bool same_board = c.board_fingerprint == board;
  const bool current = c.firmware.major == expected_firmware.major && c.firmware.minor >= expected_firmware.minor;
  s.reading = fmt::format("{}, board {}", c.firmware.text(), hexadecimal(c.board_fingerprint));
  s.limit = fmt::format("{} or newer, board {}", expected_firmware.text(), hexadecimal(board));
  s.verdict = verdict(whole && same_board && current);
  if (!current) {
    s.remedy =
        "build the firmware with this ringout ('ringout build ROBOT PROGRAM --for CHIP') and write it to the "
        "controller";
  } else if (!whole) {
    s.remedy = "this firmware lacks the table, motion or samples: build it again and write it to the controller";
  } else if (!same_board) {
    s.remedy = other_board_remedy;
  }
  return s;
}

Result<ReadyStep> Session::check_program() {
  ReadyStep s = step("program", "program's names and kinds");
  const std::uint32_t wanted = robot::program_fingerprint(setup_.robot);
  s.reading = hexadecimal(client_.controller().program_fingerprint);
  s.limit = hexadecimal(wanted);
  s.verdict = verdict(client_.controller().program_fingerprint == wanted);
  if (s.verdict == StepVerdict::bad) {
    s.remedy =
        "the program was built against other names or kinds: 'ringout bind', 'ringout build', and write it to the "
        "controller again";
  }
  return s;
}

Result<ReadyStep> Session::check_table() {
  ReadyStep s = step("table", "point table");
  const Result<bind::PointTable> wanted = wanted_table();
  if (!wanted) return tl::unexpected<Error>(wanted.error());
  const link::Controller& c = client_.controller();
  const std::uint32_t fingerprint = bind::table_fingerprint(*wanted);
  s.limit = hexadecimal(fingerprint);
  const bool other_firmware = c.program_fingerprint != robot::program_fingerprint(setup_.robot) ||
                              c.board_fingerprint != bind::board_fingerprint(setup_.robot.board);
  s.remedy = other_firmware ? "first the firmware built against this robot file; it takes this table then ('load')"
                            : "load the table of this robot file ('load')";
  if (c.table_state != wire::TableState::valid) {
    s.reading = "no valid table";
    s.verdict = StepVerdict::bad;
    return s;
  }
  s.reading = hexadecimal(c.table_fingerprint);
  s.verdict = verdict(c.table_fingerprint == fingerprint);
  if (s.verdict == StepVerdict::good) {
    s.remedy.clear();
    return s;
  }
  const auto bytes = client_.read_table();
  if (!bytes) return tl::unexpected<Error>(bytes.error());
  const std::optional<bind::PointTable> carried = bind::decode_table(*bytes);
  if (!carried) return s;
  if (const std::string words = table_difference(setup_.robot, *carried, *wanted); !words.empty()) {
    s.reading += " (" + words + ")";
  }
  return s;
}

}  // namespace ringout::session
