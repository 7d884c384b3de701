// How a Plant is put together from the robot as built.
#include <algorithm>
#include <utility>

#include "base/check.h"
#include "plant/plant_state.h"

namespace ringout::plant {
namespace {

constexpr double end_switch_share = 0.03;  // of the travel: how far before the hard stop an end switch trips
constexpr double end_switch_hysteresis = 0.003;

bool watches_mechanism(const robot::Input& input) {
  return input.senses != robot::SensesWhat::nothing && input.senses != robot::SensesWhat::surroundings;
}

}  // namespace

double Plant::State::unit_per_radian(std::size_t output) const {
  const auto& m = drawn.outputs[output].mechanism;
  return m && m->travel_is_length && m->radius ? m->radius->si : 1.0;
}

int Plant::State::waver(const std::optional<Intermittent>& intermittent) {
  if (!intermittent) return -1;
  const double open = std::clamp(intermittent->open_share, 0.001, 0.999);
  waverings.push_back(
      {.mean_open_s = intermittent->mean_open_s, .mean_closed_s = intermittent->mean_open_s * (1.0 - open) / open});
  return static_cast<int>(waverings.size()) - 1;
}

void Plant::State::build_output(std::size_t n, const Deviations& deviations) {
  const BuiltOutput& o = built.outputs[n];
  if (o.port->kind != robot::PortKind::bridge) return;
  RINGOUT_CHECK(o.port->index < most_ports);
  Load load;
  load.bridge = o.port->index;
  load.node = supply.node_of(feed_of(drawn, *o.port, *o.drawn));
  load.polarity = o.drawn->reversed != o.leads_reversed ? -1.0 : 1.0;
  load.cut = o.open_wire || o.dead || o.dead_port || o.shorted;
  load.intermittence = waver(o.intermittent);
  load.output = n;
  for (std::size_t b = 0; b < drawn.board.banks.size(); ++b) {
    if (drawn.board.banks[b].name == o.port->bank) load.bank = static_cast<int>(b);
  }
  if (o.device->as<robot::MotorDevice>() != nullptr) {
    const AxisParameters p = axis_of(o, drawn, seed);
    double start = o.drawn->mechanism && o.drawn->mechanism->travel ? 0.5 * (p.low_stop + p.high_stop) : 0.0;
    const auto given = deviations.start.find(o.drawn->name);
    if (given != deviations.start.end()) start = given->second / unit_per_radian(n);
    start = std::clamp(start, p.low_stop, p.high_stop);
    axis_of_output[n] = load.axis = static_cast<int>(axes.size());
    axes.emplace_back(p, start, 2.0 * unit_of(bits_of(seed, 0x476170, n)) - 1.0);
  } else if (const auto* device = o.device->as<robot::OnOffDevice>()) {
    load.on_off = static_cast<int>(on_offs.size());
    const double wire = o.drawn->wire.length.si > 0.0 ? o.drawn->wire.loop().si : 0.0;
    const double series = o.port->on_resistance.si + wire;
    OnOffLoad lamp;
    lamp.nominal = device->nominal.si;
    lamp.conductance = 1.0 / (device->nominal.si / std::max(device->current.si, 1e-3) + series);
    lamp.inrush = std::max(1.0, device->inrush_factor);
    lamp.inrush_s = device->inrush_time.si;
    lamp.current_limit = o.port->current_limit.si;
    on_offs.push_back(lamp);
  } else {
    load.cut = true;
  }
  loads.push_back(load);
  if (o.shorted && !o.dead_port) build_short(load, o);
}

// The driver still feeds the leads, up to where they touch (taken as halfway); the device sees nothing.
void Plant::State::build_short(Load load, const BuiltOutput& o) {
  const double wire = o.drawn->wire.length.si > 0.0 ? o.drawn->wire.loop().si : 0.0;
  load.cut = false;
  load.short_circuit = true;
  load.axis = -1;
  load.on_off = static_cast<int>(on_offs.size());
  on_offs.push_back(
      {.conductance = 1.0 / (o.port->on_resistance.si + 0.5 * wire + 0.01), .current_limit = o.port->current_limit.si});
  loads.push_back(load);
}

int Plant::State::axis_watched_by(const robot::Input& input) const {
  for (std::size_t n = 0; n < drawn.outputs.size(); ++n) {
    if (drawn.outputs[n].name == input.senses_output) return axis_of_output[n];
  }
  return -1;
}

void Plant::State::build_encoder(const BuiltInput& input) {
  const robot::Input& drawn_input = *input.drawn;
  const auto* device = input.device->as<robot::EncoderDevice>();
  EncoderState e;
  e.port = input.port->index;
  e.axis = watches_mechanism(drawn_input) ? axis_watched_by(drawn_input) : -1;
  e.on_rotor = drawn_input.on_motor_shaft;
  e.silent = input.dead || input.dead_port || input.open_wire || device == nullptr;
  const double sign = drawn_input.reversed != input.channels_swapped ? -1.0 : 1.0;
  e.counts_per_radian = sign * 4.0 * (device != nullptr ? device->lines_per_revolution : 1) / (2.0 * pi);
  e.dead_a = input.channels_swapped ? input.dead_b : input.dead_a;
  e.dead_b = input.channels_swapped ? input.dead_a : input.dead_b;
  encoders.push_back(e);
  encoder_waver.push_back(waver(input.intermittent));
  encoder_names.push_back(drawn_input.name);
}

void Plant::State::build_switch(const BuiltInput& input) {
  const robot::Input& drawn_input = *input.drawn;
  const int axis = axis_watched_by(drawn_input);
  const robot::Output* output = drawn.output(drawn_input.senses_output);
  const auto* device = input.device->as<robot::SwitchDevice>();
  SwitchState s;
  s.port = input.port->index;
  s.inverted_port = input.port->inverted;
  s.normally_closed = device != nullptr && device->normally_closed;
  s.bounce_s = device != nullptr ? device->bounce.si : 0.0;
  s.silent = input.dead || input.dead_port || input.open_wire || device == nullptr;
  s.stuck = input.stuck && !s.silent;
  const bool low = drawn_input.senses == robot::SensesWhat::travel_low_end;
  const bool high = drawn_input.senses == robot::SensesWhat::travel_high_end;
  if (axis >= 0 && (low || high) && output->mechanism && output->mechanism->travel) {
    const double unit = unit_per_radian(static_cast<std::size_t>(output - drawn.outputs.data()));
    const double low_end = output->mechanism->travel->low / unit;
    const double high_end = output->mechanism->travel->high / unit;
    const double span = high_end - low_end;
    s.axis = axis;
    s.trigger = low ? SwitchState::Trigger::low_end : SwitchState::Trigger::high_end;
    s.trips_at = low ? low_end + end_switch_share * span : high_end - end_switch_share * span;
    s.releases_at = low ? s.trips_at + end_switch_hysteresis * span : s.trips_at - end_switch_hysteresis * span;
  }
  switches.push_back(s);
  switch_waver.push_back(waver(input.intermittent));
  switch_names.push_back(drawn_input.name);
}

void Plant::State::build_analogue(const BuiltInput& input) {
  const robot::Input& drawn_input = *input.drawn;
  const robot::Output* output = drawn.output(drawn_input.senses_output);
  const auto* device = input.device->as<robot::AnalogueDevice>();
  AnalogueState a;
  RINGOUT_CHECK(input.port->adc_channel);
  a.adc = *input.port->adc_channel;
  a.axis = watches_mechanism(drawn_input) ? axis_watched_by(drawn_input) : -1;
  a.on_rotor = drawn_input.on_motor_shaft;
  a.open = input.open_wire;
  a.silent = input.dead || input.dead_port || device == nullptr;
  a.stuck = input.stuck;
  a.divider = std::max(input.port->divider_ratio, 1e-6);
  if (device != nullptr) {
    a.distance = device->measures_distance;
    a.falling = drawn_input.reversed;
    a.low_value = device->low_value;
    a.high_value = device->high_value != device->low_value ? device->high_value : device->low_value + 1.0;
    a.low_volts = device->at_low.si;
    a.high_volts = device->at_high.si;
    a.noise = device->noise_rms.si;
  }
  if (a.distance && output != nullptr)
    a.per_radian = unit_per_radian(static_cast<std::size_t>(output - drawn.outputs.data()));
  analogues.push_back(a);
  analogue_waver.push_back(waver(input.intermittent));
  analogue_names.push_back(drawn_input.name);
}

void Plant::State::build_input(const BuiltInput& input) {
  if (input.port->kind == robot::PortKind::encoder_input) build_encoder(input);
  if (input.port->kind == robot::PortKind::switch_input) build_switch(input);
  if (input.port->kind == robot::PortKind::analogue_input) build_analogue(input);
}

void Plant::State::build(const Deviations& deviations) {
  axis_of_output.assign(drawn.outputs.size(), -1);
  sights.resize(drawn.outputs.size());
  bank_amperes.assign(drawn.board.banks.size(), 0.0);
  for (std::size_t n = 0; n < built.outputs.size(); ++n) build_output(n, deviations);
  for (const BuiltInput& input : built.inputs) build_input(input);
  for (const std::size_t n : built.open_protections) supply.open_for_ever(n + 1);
  for (std::size_t n = 0; n < sights.size(); ++n) {
    sights[n].from = sights[n].highest = sights[n].lowest = shaft_of(axis_of_output[n]);
  }
  edges.reserve(1024 * (encoders.size() + 1));
  for (EncoderState& e : encoders) e.start(sensor_shaft(e.axis, e.on_rotor));
  switch_pins.fill(true);
  for (SwitchState& s : switches) {
    s.step(shaft_of(s.axis), 0.0);
    s.bouncing = 0.0;
  }
  for (AnalogueState& a : analogues) a.step(sensor_shaft(a.axis, a.on_rotor), 1.0);
  step_sensors({});
  stored_at_start = stored();
}

}  // namespace ringout::plant
