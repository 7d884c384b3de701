// The point table to the controller, and what the controller carries back.
#include <algorithm>

#include "session/session.h"

namespace ringout::session {

Result<Loading> Session::load() {
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

std::string differing_points(const robot::Robot& robot, const bind::PointTable& carried,
                             const bind::PointTable& wanted) {
  std::vector<std::string> names;
  for (const robot::Output& output : robot.outputs) names.push_back(output.name);
  for (const robot::Input& input : robot.inputs) names.push_back(input.name);
  std::string differing;
  for (std::size_t i = 0; i < wanted.entries.size() && i < names.size(); ++i) {
    bool same = i < carried.entries.size();
    if (same) {
      // The slope comes from the bump plan of the whole robot, not from this point's wiring.
      wire::TableEntry entry = carried.entries[i];
      entry.slope_permille_per_ms = wanted.entries[i].slope_permille_per_ms;
      same = bind::entry_fingerprint(entry) == bind::entry_fingerprint(wanted.entries[i]);
    }
    if (!same) differing += (differing.empty() ? "" : ", ") + names[i];
  }
  return differing;
}

// Nothing is bumped under a table whose bounds were made for another robot file.
Result<void> Session::table_suits() const {
  const Result<bind::PointTable> table = wanted_table();
  if (!table) return tl::unexpected<Error>(table.error());
  const link::Controller& controller = client_.controller();
  if (controller.table_state == wire::TableState::valid &&
      controller.table_fingerprint == bind::table_fingerprint(*table)) {
    return {};
  }
  return failure(ErrorKind::refused, "session.other-table",
                 controller.table_state == wire::TableState::valid
                     ? "the controller carries another point table than this robot file asks for"
                     : "the controller carries no valid point table",
                 "load the table first ('load'); it takes seconds and no compiler");
}

}  // namespace ringout::session
