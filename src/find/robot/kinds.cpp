#include "find/robot/kinds.h"

#include <array>

#include "base/check.h"

namespace ringout::faults {

namespace {

template <class Kind>
struct Named {
  Kind kind;
  std::string_view name;
};

template <class Kind, std::size_t n>
std::string_view name_in(const std::array<Named<Kind>, n>& names, Kind kind) {
  for (const Named<Kind>& one : names) {
    if (one.kind == kind) return one.name;
  }
  RINGOUT_CHECK(false);
}

template <class Kind, std::size_t n>
std::vector<Kind> all_in(const std::array<Named<Kind>, n>& names) {
  std::vector<Kind> out;
  for (const Named<Kind>& one : names) out.push_back(one.kind);
  return out;
}

constexpr auto parts = std::to_array<Named<PartKind>>({{PartKind::battery, "battery"},
                                                       {PartKind::breaker, "breaker"},
                                                       {PartKind::fuse, "fuse"},
                                                       {PartKind::resettable, "resettable fuse"},
                                                       {PartKind::supply_wire, "supply wire"},
                                                       {PartKind::board, "board"},
                                                       {PartKind::bank, "bank return"},
                                                       {PartKind::sensor_supply, "sensor supply"},
                                                       {PartKind::link, "link"},
                                                       {PartKind::firmware, "firmware"},
                                                       {PartKind::program, "program's names"},
                                                       {PartKind::table, "point table"},
                                                       {PartKind::command, "program's value"},
                                                       {PartKind::port, "output port"},
                                                       {PartKind::wire, "output wire"},
                                                       {PartKind::connector, "connector"},
                                                       {PartKind::place, "place"},
                                                       {PartKind::motor, "motor"},
                                                       {PartKind::load, "load"},
                                                       {PartKind::gear, "gear"},
                                                       {PartKind::mechanism, "mechanism"},
                                                       {PartKind::encoder, "encoder"},
                                                       {PartKind::contact, "switch"},
                                                       {PartKind::analogue_sensor, "analogue sensor"},
                                                       {PartKind::bus_device, "bus device"},
                                                       {PartKind::sensor_wire, "sensor wire"},
                                                       {PartKind::sensor_port, "sensor port"}});

constexpr auto modes = std::to_array<Named<Mode>>({{Mode::open, "open"},
                                                   {Mode::intermittent, "intermittent"},
                                                   {Mode::shorted, "shorted"},
                                                   {Mode::reversed, "reversed"},
                                                   {Mode::exchanged, "exchanged"},
                                                   {Mode::moved, "moved"},
                                                   {Mode::empty, "empty"},
                                                   {Mode::weak, "weak"},
                                                   {Mode::blown, "blown"},
                                                   {Mode::tripped, "tripped"},
                                                   {Mode::dead, "dead"},
                                                   {Mode::stuck_on, "stuck on"},
                                                   {Mode::stuck_open, "stuck open"},
                                                   {Mode::stuck_closed, "stuck closed"},
                                                   {Mode::stuck, "stuck"},
                                                   {Mode::one_channel, "one channel"},
                                                   {Mode::jammed, "jammed"},
                                                   {Mode::stiff, "stiff"},
                                                   {Mode::slipping, "slipping"},
                                                   {Mode::wrong_type, "wrong type"},
                                                   {Mode::misplaced, "misplaced"},
                                                   {Mode::old, "old"},
                                                   {Mode::other_names, "other names"},
                                                   {Mode::stale, "stale"},
                                                   {Mode::sends_nothing, "sends nothing"},
                                                   {Mode::sends_little, "sends little"},
                                                   {Mode::sends_wrong_sign, "sends wrong sign"},
                                                   {Mode::sends_unasked, "sends unasked"},
                                                   {Mode::reads_wrongly, "reads wrongly"}});

constexpr auto checks = std::to_array<Named<CheckKind>>({{CheckKind::complaint, "complaint"},
                                                         {CheckKind::link, "link"},
                                                         {CheckKind::supply_at_rest, "supply at rest"},
                                                         {CheckKind::firmware, "firmware"},
                                                         {CheckKind::program_names, "program's names"},
                                                         {CheckKind::table, "point table"},
                                                         {CheckKind::inputs_at_rest, "input at rest"},
                                                         {CheckKind::record, "record"},
                                                         {CheckKind::program_value, "program's value"},
                                                         {CheckKind::supply_under_load, "supply under load"},
                                                         {CheckKind::bump, "bump"},
                                                         {CheckKind::sensor_response, "sensor response"},
                                                         {CheckKind::operate, "operate"},
                                                         {CheckKind::look_indicator, "look at indicator"},
                                                         {CheckKind::look_wiring, "look at wiring"},
                                                         {CheckKind::tug, "tug"},
                                                         {CheckKind::meter_fuse, "meter across protection"},
                                                         {CheckKind::continuity_return, "continuity of return"},
                                                         {CheckKind::meter_supply, "meter at board supply"},
                                                         {CheckKind::meter_feed, "meter at feed"},
                                                         {CheckKind::meter_port, "meter at port"},
                                                         {CheckKind::meter_connector, "meter at connector"},
                                                         {CheckKind::meter_device, "ohms of device"},
                                                         {CheckKind::meter_sensor_supply, "meter at sensor supply"},
                                                         {CheckKind::continuity_wire, "continuity of sensor wire"},
                                                         {CheckKind::watch_bump, "watch a bump"},
                                                         {CheckKind::work_sensor, "work the sensor"},
                                                         {CheckKind::look_controller, "look at controller"},
                                                         {CheckKind::meter_signal, "meter at signal"},
                                                         {CheckKind::turn_by_hand, "turn by hand"},
                                                         {CheckKind::look_link, "other cable"},
                                                         {CheckKind::swap_port, "known-good port"},
                                                         {CheckKind::swap_device, "known-good device"},
                                                         {CheckKind::swap_sensor, "known-good sensor"},
                                                         {CheckKind::unhook, "unhook"}});

struct ShownWords {
  Shown shown;
  std::string_view name;
  std::string_view words;
};
constexpr auto shown_words = std::to_array<ShownWords>(
    {{Shown::as_should, "as it should", "as it should be"},
     {Shown::weak, "weak", "far less than it should"},
     {Shown::at_times, "at times", "comes and goes"},
     {Shown::wrong_way, "wrong way", "goes the wrong way"},
     {Shown::other_device, "other device", "draws what another device draws"},
     {Shown::no_motion, "no motion", "draws as it should; its sensor says nothing"},
     {Shown::held, "held", "draws far too much and does not move"},
     {Shown::elsewhere, "elsewhere", "something else answers"},
     {Shown::unasked, "unasked", "acts without being told"},
     {Shown::nothing, "nothing", "nothing happens"},
     {Shown::low, "low", "too low"},
     {Shown::none, "none", "no voltage"},
     {Shown::sags, "sags", "falls far more than drawn"},
     {Shown::silent, "silent", "does not answer"},
     {Shown::one_channel, "one channel", "one of its two channels is silent"},
     {Shown::differs, "differs", "is not what this robot file asks for"},
     {Shown::out_of_range, "out of range", "says what cannot be"},
     {Shown::never, "never", "there is no record"},
     {Shown::out, "out", "it has opened"},
     {Shown::something_seen, "something seen", "something is loose, broken or unplugged"},
     {Shown::not_drawn, "not drawn", "it sits in another socket, or is of another type, than drawn"},
     {Shown::blocked, "blocked", "it does not turn"},
     {Shown::open_circuit, "open circuit", "no continuity"},
     {Shown::shorted, "shorted", "far too few ohms"},
     {Shown::hard, "hard", "turns hard"},
     {Shown::spins, "spins", "turns without taking the rest along"},
     {Shown::stays_open, "stays open", "stays open"},
     {Shown::stays_closed, "stays closed", "stays closed"},
     {Shown::still_wrong, "still wrong", "the trouble is still there"},
     {Shown::refused, "refused", "the bench refuses to move it: other firmware, names or table"},
     {Shown::no_link, "no link", "the controller does not answer"}});

constexpr auto repairs = std::to_array<Named<RepairKind>>({{RepairKind::reset, "reset"},
                                                           {RepairKind::renew, "renew"},
                                                           {RepairKind::charge, "charge"},
                                                           {RepairKind::reconnect, "reconnect"},
                                                           {RepairKind::mend, "mend"},
                                                           {RepairKind::turn_round, "turn round"},
                                                           {RepairKind::put_back, "put back"},
                                                           {RepairKind::move_over, "move over"},
                                                           {RepairKind::free, "free"},
                                                           {RepairKind::ease, "ease"},
                                                           {RepairKind::tighten, "tighten"},
                                                           {RepairKind::adjust, "adjust"},
                                                           {RepairKind::load_table, "load table"},
                                                           {RepairKind::load_firmware, "load firmware"},
                                                           {RepairKind::rebuild, "rebuild"},
                                                           {RepairKind::edit_program, "edit program"}});

constexpr std::array battery_modes{Mode::empty, Mode::weak, Mode::dead};
constexpr std::array breaker_modes{Mode::tripped, Mode::dead};
constexpr std::array fuse_modes{Mode::blown, Mode::intermittent};
constexpr std::array resettable_modes{Mode::tripped, Mode::dead};
constexpr std::array contact_modes{Mode::open, Mode::intermittent};
constexpr std::array only_dead{Mode::dead};
constexpr std::array only_open{Mode::open};
constexpr std::array only_old{Mode::old};
constexpr std::array only_stale{Mode::stale};
constexpr std::array only_names{Mode::other_names};
constexpr std::array command_modes{Mode::sends_nothing, Mode::sends_little, Mode::sends_wrong_sign, Mode::sends_unasked,
                                   Mode::reads_wrongly};
constexpr std::array port_modes{Mode::dead, Mode::stuck_on};
constexpr std::array wire_modes{Mode::open, Mode::shorted, Mode::reversed, Mode::intermittent};
constexpr std::array place_modes{Mode::exchanged, Mode::moved};
constexpr std::array motor_modes{Mode::dead, Mode::shorted, Mode::weak, Mode::jammed, Mode::wrong_type};
constexpr std::array load_modes{Mode::dead, Mode::shorted, Mode::weak, Mode::wrong_type};
constexpr std::array gear_modes{Mode::jammed, Mode::slipping};
constexpr std::array mechanism_modes{Mode::jammed, Mode::stiff};
constexpr std::array encoder_modes{Mode::dead, Mode::one_channel, Mode::reversed, Mode::slipping, Mode::wrong_type};
constexpr std::array switch_modes{Mode::stuck_open, Mode::stuck_closed, Mode::misplaced, Mode::wrong_type};
constexpr std::array analogue_modes{Mode::dead, Mode::stuck, Mode::misplaced, Mode::wrong_type};
constexpr std::array bus_modes{Mode::dead, Mode::wrong_type};
constexpr std::array sensor_wire_modes{Mode::open, Mode::shorted, Mode::intermittent};

}  // namespace

std::span<const Mode> modes_of(PartKind kind) {
  switch (kind) {
    case PartKind::battery:
      return battery_modes;
    case PartKind::breaker:
      return breaker_modes;
    case PartKind::fuse:
      return fuse_modes;
    case PartKind::resettable:
      return resettable_modes;
    case PartKind::supply_wire:
    case PartKind::connector:
      return contact_modes;
    case PartKind::board:
    case PartKind::sensor_supply:
    case PartKind::link:
    case PartKind::sensor_port:
      return only_dead;
    case PartKind::bank:
      return only_open;
    case PartKind::firmware:
      return only_old;
    case PartKind::program:
      return only_names;
    case PartKind::table:
      return only_stale;
    case PartKind::command:
      return command_modes;
    case PartKind::port:
      return port_modes;
    case PartKind::wire:
      return wire_modes;
    case PartKind::place:
      return place_modes;
    case PartKind::motor:
      return motor_modes;
    case PartKind::load:
      return load_modes;
    case PartKind::gear:
      return gear_modes;
    case PartKind::mechanism:
      return mechanism_modes;
    case PartKind::encoder:
      return encoder_modes;
    case PartKind::contact:
      return switch_modes;
    case PartKind::analogue_sensor:
      return analogue_modes;
    case PartKind::bus_device:
      return bus_modes;
    case PartKind::sensor_wire:
      return sensor_wire_modes;
  }
  RINGOUT_CHECK(false);
}

std::string_view name_of(PartKind kind) {
  return name_in(parts, kind);
}
std::string_view name_of(Mode mode) {
  return name_in(modes, mode);
}
std::string_view name_of(CheckKind kind) {
  return name_in(checks, kind);
}
std::string_view name_of(RepairKind kind) {
  return name_in(repairs, kind);
}

std::string_view name_of(Shown shown) {
  for (const ShownWords& one : shown_words) {
    if (one.shown == shown) return one.name;
  }
  RINGOUT_CHECK(false);
}

std::string_view words_of(Shown shown) {
  for (const ShownWords& one : shown_words) {
    if (one.shown == shown) return one.words;
  }
  RINGOUT_CHECK(false);
}

std::vector<PartKind> all_part_kinds() {
  return all_in(parts);
}
std::vector<Mode> all_modes() {
  return all_in(modes);
}
std::vector<CheckKind> all_check_kinds() {
  return all_in(checks);
}
std::vector<RepairKind> all_repair_kinds() {
  return all_in(repairs);
}

}  // namespace ringout::faults
