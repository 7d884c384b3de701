#include "plant/plant.h"

#include <algorithm>

#include "base/check.h"
#include "plant/plant_state.h"
#include "plant/wave.h"

namespace ringout::plant {
namespace {

constexpr double sense_noise_volts = 0.004;
constexpr double divider_noise_volts = 0.003;
constexpr double open_pin_share = 0.35;

}  // namespace

Plant::Plant(const robot::Robot& drawn, const Deviations& deviations, std::uint64_t seed)
    : state_(std::make_unique<State>(drawn, deviations, seed)) {
  state_->build(deviations);
}
Plant::~Plant() = default;
Plant::Plant(Plant&&) noexcept = default;
Plant& Plant::operator=(Plant&&) noexcept = default;

void Plant::command(std::uint8_t bridge, BridgeCommand command) {
  RINGOUT_CHECK(bridge < most_ports);
  RINGOUT_CHECK(command.duty >= -1.0 && command.duty <= 1.0);
  state_->commands[bridge] = command;
}

void Plant::step(Duration dt) {
  RINGOUT_CHECK(dt.ns > 0 && dt.ns <= 1'000'000);
  State& s = *state_;
  const double seconds = dt.in_seconds();
  s.step_power(seconds);
  s.now = s.now + dt;
  ++s.count;
  s.step_sensors(dt);
  s.step_sight(seconds);
}

Instant Plant::now() const {
  return state_->now;
}
std::span<const Edge> Plant::edges() const {
  return state_->edges;
}

bool Plant::encoder_level(std::uint8_t encoder, bool channel_b) const {
  RINGOUT_CHECK(encoder < most_ports);
  for (const EncoderState& e : state_->encoders) {
    if (e.port == encoder) return channel_b ? e.shown_b : e.shown_a;
  }
  return true;
}

bool Plant::switch_level(std::uint8_t switch_port) const {
  RINGOUT_CHECK(switch_port < most_ports);
  return state_->switch_pins[switch_port];
}

Voltage Plant::adc_pin(std::uint8_t adc_channel) const {
  const State& s = *state_;
  const robot::Board& board = s.drawn.board;
  const std::uint64_t bits = bits_of(s.seed, 0x41444300 + adc_channel, static_cast<std::uint64_t>(s.count));
  const double ripple = 0.0004 * s.supply.battery_amperes() * wave(437.0 * Duration{s.now.ns}.in_seconds());
  const auto pin = [&board, ripple](double v) { return volts(std::clamp(v + ripple, 0.0, board.logic.si)); };
  if (adc_channel == board.supply_adc) {
    return pin(s.supply.voltage(s.supply.board_node()) / board.supply_divider_ratio +
               pin_noise(divider_noise_volts, bits));
  }
  for (std::size_t b = 0; b < board.banks.size(); ++b) {
    if (board.banks[b].sense_adc != adc_channel) continue;
    return pin(board.banks[b].sense_volts_per_ampere * std::max(0.0, s.bank_amperes[b]) + 0.004 +
               pin_noise(sense_noise_volts, bits));
  }
  double sum = 0.0;
  int sensors = 0;
  for (std::size_t n = 0; n < s.analogues.size(); ++n) {
    const AnalogueState& a = s.analogues[n];
    if (a.adc != adc_channel || a.open || !s.connected(s.analogue_waver[n])) continue;
    sum += a.silent ? 0.0 : a.held / a.divider + pin_noise(a.noise / a.divider, bits);
    ++sensors;
  }
  if (sensors > 0) return pin(sum / sensors);
  const double drift = 0.1 * wave(0.07 * Duration{s.now.ns}.in_seconds());  // an open pin wanders
  return pin(open_pin_share * board.logic.si + drift + pin_noise(0.05, bits));
}

bool Plant::controller_powered() const {
  const State& s = *state_;
  return s.drawn.board.usb_powered || s.supply.voltage(s.supply.board_node()) > s.drawn.board.brown_out.si;
}

void Plant::work_by_hand(const std::string& input, bool on) {
  State& s = *state_;
  for (std::size_t n = 0; n < s.encoders.size(); ++n) {
    if (s.encoder_names[n] == input) s.encoders[n].worked = on;
  }
  for (std::size_t n = 0; n < s.switches.size(); ++n) {
    if (s.switch_names[n] == input) s.switches[n].worked = on;
  }
  for (std::size_t n = 0; n < s.analogues.size(); ++n) {
    if (s.analogue_names[n] == input) s.analogues[n].worked = on;
  }
}

void Plant::open_disconnect(bool open) {
  state_->supply.open_disconnect(open);
}

Result<void> Plant::reset_breaker(const std::string& name) {
  const robot::Protection* protection = state_->drawn.protection(name);
  if (protection == nullptr) {
    return failure(ErrorKind::bad_input, "plant.no-such-protection", "the robot has no protection \"" + name + "\"");
  }
  const auto* device = state_->drawn.device_of(protection->device).as<robot::ProtectionDevice>();
  if (device == nullptr || device->kind != robot::ProtectionKind::breaker) {
    return failure(ErrorKind::bad_input, "plant.not-a-breaker", name + " is no breaker: it cannot be pushed in again");
  }
  state_->supply.reset(state_->supply.node_of(name));
  return {};
}

std::vector<Seen> Plant::look() {
  State& s = *state_;
  std::vector<Seen> seen;
  for (std::size_t n = 0; n < s.sights.size(); ++n) {
    Sight& sight = s.sights[n];
    const double unit = s.unit_per_radian(n);
    if (sight.first != 0) {
      const double most = std::max(sight.highest - sight.from, sight.from - sight.lowest);
      seen.push_back({.point = s.drawn.outputs[n].name, .direction = sight.first, .amount = most * unit});
    } else if (sight.seconds_on > 0.0) {
      seen.push_back({.point = s.drawn.outputs[n].name, .direction = 0, .amount = sight.seconds_on});
    }
    const double x = s.shaft_of(s.axis_of_output[n]);
    sight = {.from = x, .highest = x, .lowest = x};
  }
  return seen;
}

Truth Plant::truth() const {
  const State& s = *state_;
  Truth truth;
  for (std::size_t n = 0; n < s.drawn.outputs.size(); ++n) {
    if (s.axis_of_output[n] < 0) continue;
    const MotorAxis& a = s.axes[static_cast<std::size_t>(s.axis_of_output[n])];
    const double unit = s.unit_per_radian(n);
    truth.motors.push_back({.point = s.drawn.outputs[n].name,
                            .position = a.position() * unit,
                            .speed = a.speed() * unit,
                            .current = a.current(),
                            .at_low_stop = a.at_low_stop(),
                            .at_high_stop = a.at_high_stop(),
                            .hard_stop_hits = a.hard_stop_hits()});
    truth.energy_lost += a.losses().electric + a.losses().mechanical;
  }
  const SupplyLedger ledger = s.supply.ledger();
  truth.battery_volts = s.supply.battery_volts();
  truth.battery_amperes = s.supply.battery_amperes();
  truth.energy_in = ledger.in;
  truth.energy_lost += ledger.lost;
  for (const OnOffLoad& lamp : s.on_offs) truth.energy_lost += lamp.lost;
  truth.energy_stored = s.stored() - s.stored_at_start + ledger.stored;
  truth.tripped = s.supply.tripped();
  return truth;
}

}  // namespace ringout::plant
