#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "robot/catalogue_file.h"
#include "robot/table_reader.h"

namespace ringout::robot {

namespace {

const std::vector<std::string> port_words{"bridge", "switch", "analogue", "encoder", "servo", "light", "bus"};
const std::vector<std::string> drive_words{"pwm and two directions", "pwm and direction", "two pwm"};

// What a controller's samples and orders have room for (wire/messages.h).
std::size_t most_of(PortKind kind) {
  switch (kind) {
    case PortKind::bridge:
    case PortKind::switch_input:
    case PortKind::analogue_input:
      return 16;
    case PortKind::encoder_input:
      return 8;
    case PortKind::servo:
    case PortKind::light:
    case PortKind::bus:
      break;
  }
  return 64;
}

// How many pins a port of this kind takes.
std::size_t pins_of(const BoardPort& port) {
  switch (port.kind) {
    case PortKind::bridge:
      return port.drive == DriveMode::pwm_and_two_directions ? 3 : 2;
    case PortKind::encoder_input:
    case PortKind::bus:
      return 2;
    case PortKind::switch_input:
    case PortKind::analogue_input:
    case PortKind::servo:
    case PortKind::light:
      return 1;
  }
  return 1;
}

template <class Q>
void read_limit(TableReader& table, const char* key, Dimension dimension, std::optional<Q>& into) {
  Q limit;
  if (table.exact_quantity(key, Need::optional, dimension, above_zero, limit.si)) into = limit;
}

// What pins and converter channels serve already.
struct Users {
  std::map<std::string, std::string> pins;
  std::map<std::uint8_t, std::string> channels;
};

// A channel of the converter, 0 to 15, which serves one thing.
std::optional<std::uint8_t> read_channel(TableReader& table, const char* key, Need need, const std::string& user,
                                         Users& users) {
  std::int64_t channel = 0;
  if (!table.integer(key, need, 0, 15, channel)) return std::nullopt;
  const auto [other, fresh] = users.channels.emplace(static_cast<std::uint8_t>(channel), user);
  if (!fresh) {
    table.error(key, "catalogue.pin-twice",
                fmt::format("channel {} of the converter serves {} already", channel, other->second));
  }
  return static_cast<std::uint8_t>(channel);
}

void read_port_kind(TableReader& table, BoardPort& port, Users& users) {
  switch (port.kind) {
    case PortKind::bridge:
      if (const auto drive = table.choice("drive", Need::required, drive_words)) {
        port.drive = static_cast<DriveMode>(*drive);
      }
      table.text("bank", Need::optional, "A", port.bank);
      table.truth("can_brake", port.can_brake);
      table.quantity("on_resistance", Need::required, Dimension::resistance, from_zero, port.on_resistance.si);
      table.quantity("current_limit", Need::required, Dimension::current, above_zero, port.current_limit.si);
      read_limit(table, "voltage_max", Dimension::voltage, port.voltage_max);
      break;
    case PortKind::encoder_input:
      table.quantity("max_edge_rate", Need::required, Dimension::frequency, above_zero, port.max_edge_rate.si);
      break;
    case PortKind::analogue_input:
      table.number("divider_ratio", Need::optional, {1.0, 100.0}, port.divider_ratio);
      if (const auto channel = read_channel(table, "adc", Need::required, table.what(), users)) {
        port.adc_channel = *channel;
      }
      break;
    case PortKind::switch_input:
    case PortKind::servo:
    case PortKind::light:
    case PortKind::bus:
      break;
  }
}

void read_port(TableReader& table, Board& board, Users& users) {
  BoardPort port;
  const bool named = table.text("name", Need::required, "OUT1", port.name);
  if (named) table.rename(fmt::format("port \"{}\"", shown(port.name)));
  table.tolerances_into(board.tolerances, fmt::format("board.port.{}", port.name));
  const auto kind = table.choice("kind", Need::required, port_words);
  port.pins = table.texts("pins", Need::required, "[\"PE3\", \"PC0\", \"PK0\"]");
  table.truth("inverted", port.inverted);
  if (!kind) return;  // which keys belong here depends on it
  port.kind = static_cast<PortKind>(*kind);
  port.index = static_cast<std::uint8_t>(board.of_kind(port.kind).size());
  if (port.index == most_of(port.kind)) {
    table.error(
        "kind", "catalogue.too-many-of-a-kind",
        fmt::format("the board has more than {} ports of the kind \"{}\"", most_of(port.kind), name_of(port.kind)),
        "leave out those that carry nothing");
  }
  read_port_kind(table, port, users);
  table.finish();
  if (named && board.find(port.name) != nullptr) {
    table.error("name", "catalogue.name-taken", fmt::format("the board has a port \"{}\" already", shown(port.name)));
  }
  if (!table.place("pins").line) return;
  if (port.pins.size() != pins_of(port)) {
    table.error("pins", "catalogue.pin-count",
                fmt::format("{} takes {} pins, and {} are given", table.what(), pins_of(port), port.pins.size()));
  }
  for (const std::string& pin : port.pins) {
    const auto [user, fresh] = users.pins.emplace(pin, port.name);
    if (!fresh) {
      table.error("pins", "catalogue.pin-twice",
                  fmt::format("pin {} serves port \"{}\" already", shown(pin), shown(user->second)));
    }
  }
  const bool bank_known = port.bank.empty() || std::any_of(board.banks.begin(), board.banks.end(),
                                                           [&](const BoardBank& b) { return b.name == port.bank; });
  if (!bank_known) {
    table.error("bank", "catalogue.unknown-bank",
                fmt::format("{} is in bank \"{}\", which the board does not have", table.what(), shown(port.bank)),
                "describe the bank: [[bank]] with its name and limit");
  }
  board.ports.push_back(std::move(port));
}

void read_bank(TableReader& table, Board& board, Users& users) {
  BoardBank bank;
  if (table.text("name", Need::required, "A", bank.name)) table.rename(fmt::format("bank \"{}\"", shown(bank.name)));
  table.tolerances_into(board.tolerances, fmt::format("board.bank.{}", bank.name));
  table.quantity("limit", Need::required, Dimension::current, above_zero, bank.limit.si);
  bank.sense_adc = read_channel(table, "sense_adc", Need::optional, table.what(), users);
  // Volts per ampere are ohms; written as a plain number so that nobody looks for a resistor.
  table.number("sense_volts_per_ampere", bank.sense_adc ? Need::required : Need::optional, {0.0, 100.0},
               bank.sense_volts_per_ampere);
  table.finish();
  const bool taken =
      std::any_of(board.banks.begin(), board.banks.end(), [&](const BoardBank& b) { return b.name == bank.name; });
  if (taken) table.error("name", "catalogue.name-taken", fmt::format("there is a {} already", table.what()));
  board.banks.push_back(std::move(bank));
}

void read_board_table(TableReader& table, Board& board, Users& users) {
  if (table.text("name", Need::required, "nursery_mega", board.name)) {
    table.rename(fmt::format("board \"{}\"", shown(board.name)));
  }
  table.tolerances_into(board.tolerances, "board");
  table.text("description", Need::optional, "carrier board with eight bridges", board.description);
  table.text("source", Need::required, "maker's data sheet, revision 3, page 4", board.source);
  table.text("chip", Need::required, "atmega2560", board.chip);
  table.exact_quantity("clock", Need::required, Dimension::frequency, above_zero, board.clock.si);
  std::int64_t whole = 0;
  if (table.integer("line_rate_baud", Need::required, 1200, 4'000'000, whole)) {
    board.line_rate_baud = static_cast<std::uint32_t>(whole);
  }
  table.quantity("logic", Need::required, Dimension::voltage, {1.0, 6.0}, board.logic.si);
  if (table.integer("adc_bits", Need::optional, 8, 16, whole)) board.adc_bits = static_cast<int>(whole);
  if (const auto channel = read_channel(table, "supply_adc", Need::required, "the supply", users)) {
    board.supply_adc = *channel;
  }
  table.number("supply_divider_ratio", Need::required, {1.0, 100.0}, board.supply_divider_ratio);
  table.quantity("brown_out", Need::required, Dimension::voltage, above_zero, board.brown_out.si);
  table.quantity("supply_low", Need::required, Dimension::voltage, above_zero, board.supply_low.si);
  table.quantity("idle_current", Need::required, Dimension::current, from_zero, board.idle_current.si);
  read_limit(table, "input_voltage_max", Dimension::voltage, board.input_voltage_max);
  read_limit(table, "regulator_limit", Dimension::current, board.regulator_limit);
  read_limit(table, "sensor_supply_limit", Dimension::current, board.sensor_supply_limit);
  table.truth("outputs_off_in_reset", board.outputs_off_in_reset);
  table.truth("usb_powered", board.usb_powered);
  table.finish();
}

}  // namespace

const char* name_of(PortKind kind) {
  return port_words[static_cast<std::size_t>(kind)].c_str();
}

void read_board(TableReader& file, Catalogue& into) {
  const Node* node = file.table("board", Need::optional, "[board]");
  const std::vector<const Node*> banks = file.tables("bank");
  const std::vector<const Node*> ports = file.tables("port");
  if (node == nullptr) {
    if (!banks.empty() || !ports.empty()) {
      file.found().error(file.source(), (banks.empty() ? ports : banks).front()->span, "catalogue.no-board",
                         "the file describes ports or banks, but no board", "begin with a table [board]");
    }
    return;
  }
  Board board;
  TableReader table(file.source(), *node, "the board", file.found());
  Users users;
  read_board_table(table, board, users);
  for (const Node* bank : banks) {
    TableReader reader(file.source(), *bank, "a bank", file.found());
    read_bank(reader, board, users);
  }
  if (ports.size() > 64) {
    table.error("name", "catalogue.too-many-ports", fmt::format("{} has more than 64 ports", table.what()));
    return;
  }
  for (const Node* port : ports) {
    TableReader reader(file.source(), *port, "a port", file.found());
    read_port(reader, board, users);
  }
  if (into.board(board.name) != nullptr) {
    table.error("name", "catalogue.name-taken", fmt::format("there is a {} already", table.what()),
                "give yours another name");
    return;
  }
  into.boards.push_back(std::move(board));
}

}  // namespace ringout::robot
