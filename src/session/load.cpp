// The point table to the controller, and what the controller carries back.
#include <algorithm>
#include <array>

#include "session/session.h"

namespace ringout::session {

Result<Loading> Session::load() {
  if (Result<void> suits = firmware_suits(); !suits) return tl::unexpected<Error>(suits.error());
  const Result<bind::PointTable> table = wanted_table();
  if (!table) return tl::unexpected<Error>(table.error());
  const std::vector<std::uint8_t> bytes = bind::encode(*table);
  const Instant begin = client_.now();
  if (Result<void> written = client_.load_table(bytes); !written) return tl::unexpected<Error>(written.error());
  const Loading loading{
      .bytes = bytes.size(), .fingerprint = bind::table_fingerprint(*table), .took = client_.now() - begin};
  if (client_.controller().table_fingerprint != loading.fingerprint) {
    return failure(ErrorKind::refused, "session.table-not-taken",
                   "the controller has the table's bytes but does not name it as its table", "load it again");
  }
  tell(TableLoaded{.bytes = loading.bytes, .fingerprint = loading.fingerprint, .took = loading.took});
  return loading;
}

namespace {

// The table names an analogue port by its ADC channel; accounts are compared by the port's index within its kind.
std::uint8_t port_index(const robot::Board& board, const wire::TableEntry& entry) {
  if (static_cast<robot::PointKind>(entry.kind) != robot::PointKind::analogue) return entry.port;
  for (const robot::BoardPort* port : board.of_kind(robot::PortKind::analogue_input)) {
    if (port->adc_channel == entry.port) return port->index;
  }
  return wire::no_port;
}

}  // namespace

Result<prove::Coded> Session::coded() {
  const auto names = client_.point_names();
  if (!names) return tl::unexpected<Error>(names.error());
  const auto bytes = client_.read_table();
  if (!bytes) return tl::unexpected<Error>(bytes.error());
  const std::optional<bind::PointTable> table = bind::decode_table(*bytes);
  prove::Coded coded;
  for (std::size_t i = 0; i < names->size(); ++i) {
    prove::CodedPoint point{
        .name = (*names)[i].name, .kind = static_cast<robot::PointKind>((*names)[i].kind), .entry = {}};
    if (table && i < table->entries.size()) {
      const wire::TableEntry& entry = table->entries[i];
      point.entry = prove::CodedEntry{.port = port_index(setup_.robot.board, entry),
                                      .reversed = (entry.flags & wire::entry_reversed) != 0};
    }
    coded.points.push_back(std::move(point));
  }
  return coded;
}

namespace {

std::vector<std::string> point_names(const robot::Robot& robot) {
  std::vector<std::string> names;
  for (const robot::Output& output : robot.outputs) names.push_back(output.name);
  for (const robot::Input& input : robot.inputs) names.push_back(input.name);
  return names;
}

void add(std::string& list, const std::string& name) {
  list += (list.empty() ? "" : ", ") + name;
}

}  // namespace

std::string table_difference(const robot::Robot& robot, const bind::PointTable& carried,
                             const bind::PointTable& wanted) {
  const std::vector<std::string> names = point_names(robot);
  std::string differing;
  std::string proved;
  std::string no_longer;
  for (std::size_t i = 0; i < wanted.entries.size() && i < names.size(); ++i) {
    if (i >= carried.entries.size()) {
      add(differing, names[i]);
      continue;
    }
    // The slope comes from the bump plan of the whole robot, not from this point's wiring.
    wire::TableEntry entry = carried.entries[i];
    entry.slope_permille_per_ms = wanted.entries[i].slope_permille_per_ms;
    if (bind::entry_fingerprint(entry) != bind::entry_fingerprint(wanted.entries[i])) add(differing, names[i]);
    const bool was = (carried.entries[i].flags & wire::entry_proved) != 0;
    const bool is = (wanted.entries[i].flags & wire::entry_proved) != 0;
    if (was != is) add(is ? proved : no_longer, names[i]);
  }
  if (!differing.empty()) return "other points: " + differing;
  std::string words;
  if (!proved.empty()) words = "proved since: " + proved;
  if (!no_longer.empty()) words += (words.empty() ? "" : "; ") + std::string("no longer proved: ") + no_longer;
  if (words.empty() && !(carried == wanted)) return "same points and proofs, other bounds";
  return words;
}

Result<void> Session::firmware_suits() {
  const Result<ReadyStep> firmware = check_firmware();
  if (!firmware) return tl::unexpected<Error>(firmware.error());
  if (firmware->verdict == StepVerdict::good) return {};
  return failure(
      ErrorKind::refused, "session.other-firmware",
      "the controller's firmware does not suit: it is " + firmware->reading + ", wanted is " + firmware->limit,
      firmware->remedy);
}

// What the host says of a point is said of that point only with this robot file's firmware, names and table. Asked anew
// each time: a controller may have been reset or changed since, with the link alive.
Result<void> Session::controller_suits() {
  const link::Controller before = client_.controller();
  const Result<link::Controller> now = client_.hello();
  if (!now) return tl::unexpected<Error>(now.error());
  const bool was_open = before.identity != std::array<std::uint8_t, 8>{};
  if (was_open && now->identity != before.identity) {
    return failure(
        ErrorKind::refused, "session.other-controller",
        "another controller answers now: " + now->identity_text() + " where " + before.identity_text() + " did",
        "start again: 'ready', 'load', and prove every point on it");
  }
  if (Result<void> suits = firmware_suits(); !suits) return suits;
  const Result<ReadyStep> program = check_program();
  if (!program) return tl::unexpected<Error>(program.error());
  if (program->verdict != StepVerdict::good) {
    return failure(ErrorKind::refused, "session.other-program",
                   "the program on the controller is not one of this robot file: names and kinds " + program->reading +
                       ", wanted are " + program->limit,
                   program->remedy);
  }
  return table_suits();
}

// Nothing is bumped under a table whose bounds were made for another robot file.
Result<void> Session::table_suits() {
  const Result<bind::PointTable> table = wanted_table();
  if (!table) return tl::unexpected<Error>(table.error());
  const link::Controller& controller = client_.controller();
  const std::string hint = "load the table first ('load'); it takes seconds and no compiler";
  if (controller.table_state != wire::TableState::valid) {
    return failure(ErrorKind::refused, "session.other-table", "the controller carries no valid point table", hint);
  }
  if (controller.table_fingerprint == bind::table_fingerprint(*table)) return {};
  const auto bytes = client_.read_table();
  if (!bytes) return tl::unexpected<Error>(bytes.error());
  const std::optional<bind::PointTable> carried = bind::decode_table(*bytes);
  const std::string words = carried ? table_difference(setup_.robot, *carried, *table) : "";
  return failure(ErrorKind::refused, "session.other-table",
                 "the controller's point table is not the one that this robot file and its proofs ask for" +
                     (words.empty() ? "" : " (" + words + ")"),
                 hint);
}

}  // namespace ringout::session
