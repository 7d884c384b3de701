// Sensors and switches against their ports and their mechanisms.
#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "desk/device_models.h"
#include "desk/rules/judge.h"

namespace ringout::desk {

namespace {

using enum Severity;
using enum robot::Discipline;
using robot::SensesWhat;

constexpr double edge_margin = 0.8;
constexpr double fewest_steps = 100;       // converter steps over a sensor's range
constexpr double rail_share = 0.02;        // of full scale: as near to an end as an open wire reads
constexpr double most_noise_share = 0.02;  // rms of the span
constexpr double coarse_share = 0.02;      // of the travel in one count

void edge_rate(Judge& j) {
  std::unordered_map<std::string_view, const MotorCurve*> curves;
  // The curves are those of the battery as drawn; without load the speed goes with the voltage.
  const double charged =
      j.battery().open_circuit_full / battery_model(j.battery()).open_at(j.robot.battery.state_of_charge.value_or(1.0));
  for (const MotorCurve& c : j.report.motors) curves.emplace(j.robot.outputs[c.output].name, &c);
  for (const robot::Input& i : j.robot.inputs) {
    const auto* encoder = j.spec<robot::EncoderDevice>(i.device);
    if (encoder == nullptr || i.senses != SensesWhat::output_motion) continue;
    const double limit = j.port(i.port).max_edge_rate.si;
    const auto found = curves.find(i.senses_output);
    if (found == curves.end()) continue;
    const MotorCurve& curve = *found->second;
    const robot::Output& o = j.robot.outputs[curve.output];
    if (!o.mechanism) continue;
    const AngularSpeed drawn = curve.free_speed * charged;
    const AngularSpeed shaft = i.on_motor_shaft ? drawn : drawn / o.mechanism->gear_ratio;
    const double rate = shaft.in(rpm(60)) * encoder->lines_per_revolution * 4.0;
    const double nominal = j.motor_of(o)->free_speed / drawn * rate;
    if (rate <= edge_margin * limit || nominal > limit) continue;  // above: told by the drawing's rule
    j.find(i.at.of("port"), fmt::format("with a charged battery {} gives up to {:.0f} edges a second, and port {} "
                                        "counts {:.0f}",
                                        i.name, rate, i.port, limit));
  }
}

struct Scale {
  const robot::AnalogueDevice* sensor;
  double full_volts;  // at the sensor: the converter's full scale through the port's divider
  double steps;
};

std::optional<Scale> scale_of(const Judge& j, const robot::Input& i) {
  const auto* sensor = j.spec<robot::AnalogueDevice>(i.device);
  if (sensor == nullptr) return std::nullopt;
  return Scale{sensor, j.robot.board.logic.si * j.port(i.port).divider_ratio, std::exp2(j.robot.board.adc_bits)};
}

void small_span(Judge& j) {
  for (const robot::Input& i : j.robot.inputs) {
    const auto scale = scale_of(j, i);
    if (!scale) continue;
    const double span = std::abs(scale->sensor->at_high.si - scale->sensor->at_low.si);
    const double steps = span / scale->full_volts * scale->steps;
    if (steps >= fewest_steps) continue;
    j.find(i.at.of("port"), fmt::format("the whole range of {} is {:.2f} V of {:.2f} V, {:.0f} steps of the converter",
                                        i.name, span, scale->full_volts, steps));
  }
}

void at_rail(Judge& j) {
  for (const robot::Input& i : j.robot.inputs) {
    const auto scale = scale_of(j, i);
    if (!scale) continue;
    const auto [low, high] = std::minmax(scale->sensor->at_low.si, scale->sensor->at_high.si);
    const double edge = rail_share * scale->full_volts;
    if (low >= edge && high <= scale->full_volts - edge) continue;
    j.find(i.at.of("device"),
           fmt::format("{} gives {:.2f} V to {:.2f} V, and an open or shorted wire reads 0 V or {:.2f} V", i.name, low,
                       high, scale->full_volts));
  }
}

void noisy(Judge& j) {
  for (const robot::Input& i : j.robot.inputs) {
    const auto scale = scale_of(j, i);
    if (!scale) continue;
    const double span = std::abs(scale->sensor->at_high.si - scale->sensor->at_low.si);
    if (scale->sensor->noise_rms.si <= most_noise_share * span) continue;
    j.find(i.at.of("device"),
           fmt::format("the noise of {} is {:.1f} % of its range", i.name, scale->sensor->noise_rms.si / span * 100.0));
  }
}

void sensor_voltage(Judge& j) {
  for (const robot::Input& i : j.robot.inputs) {
    const robot::Device& device = *j.device(i.device);
    const Voltage supply = j.robot.board.logic;
    const bool high = device.voltage_max && supply > *device.voltage_max;
    const bool low = device.voltage_min && supply < *device.voltage_min;
    if (!high && !low) continue;
    j.find(i.at.of("device"),
           fmt::format("the board feeds {} with {:g} V, and {} is for {} {:g} V", i.name, supply.si, i.device,
                       high ? "at most" : "at least", high ? device.voltage_max->si : device.voltage_min->si));
  }
}

void supply_differs(Judge& j) {
  for (const robot::Input& i : j.robot.inputs) {
    std::optional<Voltage> asked;
    if (const auto* e = j.spec<robot::EncoderDevice>(i.device)) asked = e->supply;
    if (const auto* b = j.spec<robot::BusDevice>(i.device)) asked = b->supply;
    if (!asked || std::abs(asked->si / j.robot.board.logic.si - 1.0) <= 0.1) continue;
    j.find(i.at.of("device"),
           fmt::format("{} works on {:g} V, and the board gives {:g} V", i.device, asked->si, j.robot.board.logic.si));
  }
}

void open_contact(Judge& j) {
  for (const robot::Input& i : j.robot.inputs) {
    const auto* contact = j.spec<robot::SwitchDevice>(i.device);
    const bool end = i.senses == SensesWhat::travel_low_end || i.senses == SensesWhat::travel_high_end;
    if (contact == nullptr || contact->normally_closed || !end) continue;
    j.find(i.at.of("device"),
           fmt::format("{} closes at the end: with its wire off, {} runs into the hard stop", i.name, i.senses_output));
  }
}

void bounce(Judge& j) {
  for (const robot::Input& i : j.robot.inputs) {
    const auto* contact = j.spec<robot::SwitchDevice>(i.device);
    if (contact == nullptr || contact->bounce <= milliseconds(20)) continue;
    j.find(i.at.of("device"), fmt::format("{} bounces for {:.0f} ms", i.name, contact->bounce.si * 1e3));
  }
}

void coarse(Judge& j) {
  for (const robot::Input& i : j.robot.inputs) {
    const auto* encoder = j.spec<robot::EncoderDevice>(i.device);
    const robot::Output* o = j.output(i.senses_output);
    if (encoder == nullptr || o == nullptr || !o->mechanism || !o->mechanism->travel) continue;
    const robot::Mechanism& m = *o->mechanism;
    const double turns_of_output =
        (m.travel->high - m.travel->low) / (m.travel_is_length && m.radius ? m.radius->si : 1.0);
    const double shaft = turns_of_output * (i.on_motor_shaft ? m.gear_ratio : 1.0) / (2.0 * pi);
    const double counts = shaft * encoder->lines_per_revolution * 4.0;
    if (counts * coarse_share >= 1.0) continue;
    j.find(i.at.of("device"), fmt::format("over its whole travel {} counts {:.0f}", i.name, counts));
  }
}

void unsensed(Judge& j) {
  for (const robot::Output& o : j.robot.outputs) {
    if (!o.mechanism || !o.mechanism->travel) continue;
    if (!j.sensed(o)) j.find(o.at.of("name"), fmt::format("between its ends nothing tells where {} is", o.name));
  }
}

constexpr Rule input_rules[] = {
    {"encoder.near-port-limit", warning, wiring, "an encoder close to what its port counts",
     "A charged battery or a push makes it faster than at nominal voltage.",
     "Fewer lines, the slower shaft, or a faster port.", Home::desk, edge_rate, "80 %: common practice"},
    {"encoder.coarse", warning, mechanics, "an encoder with fewer than 50 counts over the whole travel",
     "One count is then more than 2 % of the way.", "Put it on the faster shaft, or take more lines.", Home::desk,
     coarse, "2 %: our choice"},
    {"motion.unsensed", note, mechanics, "a bounded motion that nothing measures between its ends",
     "The program moves it by time alone.", "Fit an encoder or a potentiometer, if the task needs it.", Home::desk,
     unsensed},
    {"analogue.small-span", warning, wiring, "a sensor that uses fewer than 100 steps of the converter",
     "One step is then more than 1 % of its range.", "Use a port with a smaller divider, or a sensor that gives more.",
     Home::desk, small_span, "100 steps: our choice"},
    {"analogue.end-like-open-wire", note, wiring, "a sensor whose end reads like an open or shorted wire",
     "A broken wire then looks like a position.", "Take a sensor or resistors that keep off the ends of the scale.",
     Home::desk, at_rail, "2 % of the scale: our choice"},
    {"analogue.noisy", warning, wiring, "a sensor whose noise is more than 2 % of its range",
     "The program acts on readings that are none.", "Filter it, shield its lead, or take a better one.", Home::desk,
     noisy, "2 %: our choice"},
    {"sensor.voltage", error, wiring, "a sensor outside the voltage it is made for", "It is damaged, or reads wrong.",
     "Choose a sensor for the board's supply, or feed it from elsewhere.", Home::desk, sensor_voltage},
    {"sensor.supply-differs", error, wiring, "an encoder or bus device for another voltage than the board's",
     "Its levels are not what the port takes for high and low.", "Choose one for the board's supply.", Home::desk,
     supply_differs, "10 %: common practice, what logic parts of 5 V bear (from memory)"},
    {"end-switch.open-contact", note, wiring, "an end switch whose broken wire looks like a free way",
     "A normally closed contact opens at the end and when its wire is off.",
     "Take a normally closed contact, or prove the switches before each day.", Home::desk, open_contact},
    {"switch.bounces-long", warning, wiring, "a switch that bounces for more than 20 ms",
     "One press is taken for several.", "Take another switch, or let the program wait.", Home::desk, bounce,
     "20 ms: common practice"},
};

}  // namespace

void add_input_rules(std::vector<Rule>& rules) {
  rules.insert(rules.end(), std::begin(input_rules), std::end(input_rules));
}

}  // namespace ringout::desk
