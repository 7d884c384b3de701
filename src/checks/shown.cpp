#include "checks/shown.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "prove/hand_proof.h"
#include "prove/port_load.h"
#include "prove/response.h"

namespace ringout::checks {

namespace {

using faults::Shown;
using prove::Condition;
using prove::Finding;

constexpr double least_sure = 0.5;
constexpr double drawn_amperes = 0.1;  // twice the step of a 10-bit sense of 0.1 V/A at 5 V
constexpr int turned_counts = 4;
constexpr double rest_margin = 0.04;  // of full scale, beyond the sensor's two voltages
constexpr double no_supply = 1.0;     // volts

const Finding* finding_of(const std::vector<Finding>& findings, const std::string& point) {
  const auto at = std::find_if(findings.begin(), findings.end(), [&](const Finding& f) { return f.point == point; });
  return at == findings.end() ? nullptr : &*at;
}

// The largest current of all bumps over what flows at rest; nothing where the bank has no sense.
std::optional<double> amperes_of(const robot::Robot& robot, const std::vector<capture::BumpRecord>& bumps) {
  std::optional<double> most;
  for (const capture::BumpRecord& record : bumps) {
    const prove::Response r = prove::response_of(robot, record);
    const robot::BoardBank* bank = prove::bank_of(robot.board, r.bridge);
    if (bank == nullptr || !bank->sense_adc) continue;
    for (const auto& change : {r.starting, r.running}) {
      if (!change || change->delta < 4.0 * change->error) continue;
      most = std::max(most.value_or(0.0), prove::bank_amperes(robot.board, *bank, change->delta));
    }
    if (!most) most = 0.0;
  }
  return most;
}

// Whether what sits on the port of an encoder or an analogue sensor moved in one of these bumps.
bool moved_on(const robot::Robot& robot, const robot::BoardPort& port, const std::vector<capture::BumpRecord>& bumps) {
  return std::any_of(bumps.begin(), bumps.end(), [&](const capture::BumpRecord& record) {
    const prove::Response r = prove::response_of(robot, record);
    if (port.kind == robot::PortKind::encoder_input && port.index < r.encoders.size()) {
      const prove::EncoderAnswer& e = r.encoders[port.index];
      return std::abs(e.delta) > 2.0 + 2.0 * e.quiet_widest;
    }
    if (!port.adc_channel || *port.adc_channel >= r.moved.size()) return false;
    const prove::Change& change = r.moved[*port.adc_channel];
    return std::abs(change.delta) > 6.0 * change.error + 1.0;
  });
}

// Sensors on other ports than the output's own that moved in these bumps.
std::string moved_elsewhere(const robot::Robot& robot, const robot::Output& output,
                            const std::vector<capture::BumpRecord>& bumps) {
  for (const robot::Input& input : robot.inputs) {
    const bool tells = input.kind == robot::PointKind::encoder || input.kind == robot::PointKind::analogue;
    if (tells && input.senses_output != output.name && moved_on(robot, robot.port_of(input.port), bumps))
      return input.name;
  }
  return "";
}

const robot::Input* motion_sensor(const robot::Robot& robot, const robot::Output& output) {
  for (const robot::Input& input : robot.inputs) {
    const bool tells = input.kind == robot::PointKind::encoder || input.kind == robot::PointKind::analogue;
    if (tells && input.senses == robot::SensesWhat::output_motion && input.senses_output == output.name) return &input;
  }
  return nullptr;
}

// Whether what a sensor says of the bumps has the drawn sign: positive where it has, negative where it is the other way
// round, 0 where it cannot be told.
double way_of(const robot::Robot& robot, const robot::Output& output, const robot::Input& sensor,
              const std::vector<capture::BumpRecord>& bumps) {
  const robot::BoardPort& port = robot.port_of(sensor.port);
  double sum = 0.0;
  for (const capture::BumpRecord& record : bumps) {
    const prove::Response r = prove::response_of(robot, record);
    const double drawn = (r.level < 0.0) != output.reversed ? -1.0 : 1.0;
    if (sensor.kind == robot::PointKind::encoder && port.index < r.encoders.size()) {
      const prove::EncoderAnswer& e = r.encoders[port.index];
      if (std::abs(e.delta) >= turned_counts + 2.0 * e.quiet_widest)
        sum += (sensor.reversed ? -drawn : drawn) * e.delta;
    }
    if (sensor.kind == robot::PointKind::analogue && port.adc_channel && *port.adc_channel < r.moved.size()) {
      const prove::Change& change = r.moved[*port.adc_channel];
      const auto* device = robot.device_of(sensor.device).as<robot::AnalogueDevice>();
      const bool falls = device != nullptr && (device->at_high < device->at_low) != sensor.reversed;
      if (std::abs(change.delta) > 6.0 * change.error + 1.0) sum += (falls ? -drawn : drawn) * change.delta;
    }
  }
  return sum;
}

std::vector<Finding> findings_of(const robot::Robot& robot, const std::vector<capture::BumpRecord>& bumps) {
  prove::Evidence evidence;
  evidence.bumps = bumps;
  return prove::identify(robot, evidence, {}).findings;
}

// The output's own device sits there; what its answer was like.
Shown own_answer(const Finding& found) {
  switch (found.condition) {
    case Condition::weak:
    case Condition::drags:
      return Shown::weak;
    case Condition::slips:
      return Shown::no_motion;
    case Condition::shorted:
      return Shown::held;
    case Condition::other_motor:
      return Shown::other_device;
    case Condition::intermittent:
      return Shown::at_times;
    case Condition::jammed:
      return Shown::held;
    case Condition::no_current:
      return Shown::nothing;
    default:
      return found.sign == prove::Sign::reversed ? Shown::wrong_way : Shown::as_should;
  }
}

// Far more current than its own device takes, and as much as another one's: with nothing seen to move, one port's bumps
// hardly tell a weak device from an exchanged one otherwise.
bool draws_more_like_another(const robot::Robot& robot, const robot::Output& output,
                             const std::vector<capture::BumpRecord>& bumps) {
  const std::optional<prove::PortLoad> load = prove::port_load(robot, output, bumps);
  return load && load->like == prove::LoadLike::another && load->read > load->expected;
}

// What the device's own sensor says against it, where the device itself is whole.
std::optional<Shown> sensor_says(const Finding* sensor, const std::string& drawn_port) {
  if (sensor == nullptr || sensor->confidence < least_sure) return std::nullopt;
  if (sensor->condition == Condition::silent || sensor->condition == Condition::one_channel_dead)
    return Shown::no_motion;
  if (sensor->condition == Condition::intermittent) return Shown::at_times;
  if (sensor->found_port && *sensor->found_port != drawn_port) return Shown::elsewhere;
  return std::nullopt;
}

// The input that is drawn on this port; empty: none.
std::string drawn_on(const robot::Robot& robot, const std::string& port) {
  const auto at =
      std::find_if(robot.inputs.begin(), robot.inputs.end(), [&](const robot::Input& i) { return i.port == port; });
  return at == robot.inputs.end() ? std::string() : at->name;
}

// What moves, by the input that says so.
std::string senses(const robot::Robot& robot, const std::string& input) {
  const robot::Input* drawn = robot.input(input);
  return drawn == nullptr ? std::string() : drawn->senses_output;
}

}  // namespace

Reading read_bump(const robot::Robot& robot, const robot::Output& output,
                  const std::vector<capture::BumpRecord>& bumps) {
  if (bumps.empty()) return {};
  const std::optional<double> amperes = amperes_of(robot, bumps);
  std::string words = amperes ? fmt::format("{:.2f} A", *amperes) : std::string("current not sensed");
  const std::string elsewhere = moved_elsewhere(robot, output, bumps);
  const std::vector<Finding> findings = findings_of(robot, bumps);
  const Finding* own = finding_of(findings, output.name);
  const robot::Input* sensor = motion_sensor(robot, output);
  if (sensor != nullptr && elsewhere.empty()) words += ", nothing else moved";
  if (!elsewhere.empty()) words += ", " + elsewhere + " moved";
  const bool draws = !amperes || *amperes >= drawn_amperes;
  const bool here = own != nullptr && own->found_port == output.port && own->condition != Condition::untested &&
                    own->confidence >= least_sure;
  if (here) {
    Shown shown = own_answer(*own);
    // What never draws anything and never moves does not come and go.
    const bool still = !draws && (sensor == nullptr || way_of(robot, output, *sensor, bumps) == 0.0);
    if (shown == Shown::at_times && still) shown = Shown::nothing;
    if (shown == Shown::weak && sensor != nullptr && way_of(robot, output, *sensor, bumps) == 0.0 &&
        draws_more_like_another(robot, output, bumps)) {
      shown = Shown::other_device;
    }
    if (sensor == nullptr) {
      // Nothing tells whether it moves: the bumps of one port alone would pass for a device that is whole.
      const std::optional<prove::PortLoad> load = prove::port_load(robot, output, bumps);
      if (load && prove::far_too_much(*load)) shown = Shown::held;
    }
    if (sensor != nullptr && (shown == Shown::as_should || shown == Shown::held)) {
      const auto against = sensor_says(finding_of(findings, sensor->name), sensor->port);
      if (against && !still && (shown == Shown::as_should || *against != Shown::no_motion)) shown = *against;
      // Leads and sensor look alike the wrong way round: the bump says that they disagree, not which of them it is.
      if (shown == Shown::as_should && way_of(robot, output, *sensor, bumps) < 0.0) shown = Shown::wrong_way;
    }
    return {shown, words, shown == Shown::elsewhere ? senses(robot, elsewhere) : std::string()};
  }
  if (!elsewhere.empty()) return {Shown::elsewhere, words, senses(robot, elsewhere)};
  if (amperes && draws) return {Shown::other_device, words};
  return {Shown::nothing, words};
}

Reading read_response(const robot::Robot& robot, const robot::Input& input,
                      const std::vector<capture::BumpRecord>& bumps) {
  const std::vector<Finding> findings = findings_of(robot, bumps);
  const Finding* found = finding_of(findings, input.name);
  if (found == nullptr || found->condition == Condition::untested) return {};
  const Reading silent{Shown::silent, "nothing moved on " + input.port};
  if (!found->found_port || found->condition == Condition::silent) return silent;
  if (*found->found_port != input.port) {
    // Where nothing moved, another port is no more than a way to explain it.
    if (!moved_on(robot, robot.port_of(*found->found_port), bumps)) return silent;
    return {Shown::elsewhere, found->evidence, drawn_on(robot, *found->found_port)};
  }
  switch (found->condition) {
    case Condition::one_channel_dead:
      return {Shown::one_channel, found->evidence};
    case Condition::intermittent:
      return {Shown::at_times, found->evidence};
    case Condition::weak:
    case Condition::strong:
      return {Shown::weak, found->evidence};
    default: {
      const robot::Output* watched = robot.output(input.senses_output);
      const bool wrong =
          found->sign == prove::Sign::reversed || (watched != nullptr && way_of(robot, *watched, input, bumps) < 0.0);
      return {wrong ? Shown::wrong_way : Shown::as_should, found->evidence};
    }
  }
}

Reading read_sag(const robot::Robot& robot, const std::vector<capture::BumpRecord>& bumps) {
  if (bumps.empty()) return {};
  prove::Evidence evidence;
  evidence.bumps = bumps;
  const prove::SupplyFinding supply = prove::identify(robot, evidence, {}).supply;
  const std::string words =
      fmt::format("{:.2f} V at rest, {:.2f} V at its lowest", supply.rest_volts, supply.lowest_volts);
  if (supply.rest_volts < no_supply) return {Shown::none, words};
  return {supply.weak ? Shown::sags : Shown::as_should, words};
}

Reading read_looks(const robot::Output& output, const std::vector<prove::Look>& looks) {
  if (looks.empty()) return {};
  const auto shown_by = [&](const prove::Look& look) {
    if (look.saw == prove::Saw::nothing) return Shown::nothing;
    if (look.saw == prove::Saw::something_else || look.point != output.name) return Shown::elsewhere;
    // It is told of the outward half, which is the positive level at the port.
    return look.direction * (output.reversed ? -1 : 1) < 0 ? Shown::wrong_way : Shown::as_should;
  };
  const auto words_of = [](const prove::Look& look) {
    if (look.saw == prove::Saw::device) return "you saw " + look.point + " act";
    return std::string(look.saw == prove::Saw::nothing ? "you saw nothing act" : "you saw something else act");
  };
  const Shown first = shown_by(looks.front());
  const Shown last = shown_by(looks.back());
  const bool came_and_went = first != last && (first == Shown::nothing || last == Shown::nothing);
  const std::string acts = last == Shown::elsewhere ? looks.back().point : std::string();
  return {came_and_went ? Shown::at_times : last, words_of(looks.back()), acts};
}

Reading read_hand(const robot::Robot& robot, const robot::Input& input, const capture::HandRecord& record) {
  if (!record.done) return {};
  if (input.kind == robot::PointKind::encoder) {
    const auto turned = [&](const robot::Input& one) {
      const std::size_t port = robot.port_of(one.port).index;
      int widest = 0;
      for (const capture::Sample& s : record.during) {
        if (!record.before.empty() && port < s.encoders.size())
          widest = std::max(widest, std::abs(s.encoders[port] - record.before.back().encoders[port]));
      }
      return widest >= turned_counts;
    };
    if (turned(input)) return {Shown::as_should, input.name + " counted"};
    for (const robot::Input& other : robot.inputs) {
      if (other.kind == robot::PointKind::encoder && turned(other))
        return {Shown::elsewhere, other.name + " counted", other.name};
    }
    return {Shown::silent, "nothing counted"};
  }
  const std::vector<Finding> findings = prove::find_by_hand(robot, std::span(&record, 1));
  const Finding* found = finding_of(findings, input.name);
  if (found == nullptr) return {};
  if (found->condition == Condition::intermittent) return {Shown::at_times, found->evidence};
  if (found->found_port && *found->found_port != input.port)
    return {Shown::elsewhere, found->evidence, drawn_on(robot, *found->found_port)};
  if (input.kind != robot::PointKind::switch_input) {
    const bool follows = found->condition == Condition::answers;
    return {follows ? Shown::as_should : Shown::silent, found->evidence};
  }
  if (found->condition == Condition::answers && found->sign != prove::Sign::reversed)
    return {Shown::as_should, found->evidence};
  // Inputs have pull-ups: high means open.
  const std::size_t port = robot.port_of(input.port).index;
  const bool open = !record.during.empty() && ((record.during.back().switches >> port) & 1U) != 0;
  return {open ? Shown::stays_open : Shown::stays_closed, found->evidence};
}

Reading read_at_rest(const robot::Robot& robot, const robot::Input& input,
                     const std::vector<capture::Sample>& samples) {
  if (samples.empty()) return {};
  const robot::BoardPort& port = robot.port_of(input.port);
  if (input.kind == robot::PointKind::switch_input) {
    const bool restless = std::any_of(samples.begin(), samples.end(), [&](const capture::Sample& s) {
      return (((s.switches ^ samples.front().switches) >> port.index) & 1U) != 0;
    });
    return {restless ? Shown::at_times : Shown::as_should, restless ? "it changes by itself" : "quiet"};
  }
  if (input.kind == robot::PointKind::encoder) {
    const auto away = [&](const capture::Sample& s) {
      return std::abs(s.encoders.at(port.index) - samples.front().encoders.at(port.index)) > turned_counts;
    };
    const bool restless = std::any_of(samples.begin(), samples.end(), away);
    return {restless ? Shown::at_times : Shown::as_should, restless ? "it counts by itself" : "quiet"};
  }
  const auto* device = robot.device_of(input.device).as<robot::AnalogueDevice>();
  if (device == nullptr || !port.adc_channel) return {};
  const double scale =
      robot.board.logic.in(volts(1)) * port.divider_ratio / std::exp2(static_cast<double>(robot.board.adc_bits));
  double sum = 0.0;
  double lowest = 1e9;
  double highest = -1e9;
  for (const capture::Sample& s : samples) {
    const double read = s.adc.at(*port.adc_channel) * scale;
    sum += read;
    lowest = std::min(lowest, read);
    highest = std::max(highest, read);
  }
  const double mean = sum / static_cast<double>(samples.size());
  const double low = std::min(device->at_low, device->at_high).in(volts(1));
  const double high = std::max(device->at_low, device->at_high).in(volts(1));
  const double margin = rest_margin * robot.board.logic.in(volts(1)) * port.divider_ratio;
  const std::string words = fmt::format("{:.2f} V, its sensor gives {:.2f} to {:.2f} V", mean, low, high);
  if (highest - lowest > 10.0 * margin) return {Shown::at_times, words};
  return {mean < low - margin || mean > high + margin ? Shown::out_of_range : Shown::as_should, words};
}

Reading read_record(const std::vector<prove::Finding>& known, const std::string& point) {
  const Finding* found = finding_of(known, point);
  if (found == nullptr || found->condition == Condition::untested)
    return {Shown::never, "never proved as it is drawn now"};
  const bool as_drawn = found->found_port == found->drawn_port && found->condition == Condition::answers &&
                        found->sign != prove::Sign::reversed;
  return {as_drawn ? Shown::as_should : Shown::differs, found->evidence};
}

std::optional<std::size_t> nearest_outcome(Shown shown, const std::vector<Shown>& outcomes) {
  // What stands in for what a check cannot tell apart.
  static const std::map<Shown, std::vector<Shown>> stands_for{
      {Shown::elsewhere, {Shown::other_device, Shown::nothing, Shown::silent}},
      {Shown::other_device, {Shown::elsewhere, Shown::weak, Shown::as_should}},
      {Shown::no_motion, {Shown::nothing, Shown::silent}},
      {Shown::held, {Shown::no_motion, Shown::nothing}},
      {Shown::wrong_way, {Shown::as_should}},
      {Shown::weak, {Shown::as_should}},
      {Shown::one_channel, {Shown::weak, Shown::silent}},
      {Shown::silent, {Shown::stays_open, Shown::nothing}},
      {Shown::stays_open, {Shown::silent}},
      {Shown::stays_closed, {Shown::silent}},
  };
  const auto index_of = [&](Shown one) -> std::optional<std::size_t> {
    const auto at = std::find(outcomes.begin(), outcomes.end(), one);
    if (at == outcomes.end()) return std::nullopt;
    return static_cast<std::size_t>(at - outcomes.begin());
  };
  if (const auto exact = index_of(shown)) return exact;
  const auto others = stands_for.find(shown);
  if (others == stands_for.end()) return std::nullopt;
  for (const Shown other : others->second) {
    if (const auto near = index_of(other)) return near;
  }
  return std::nullopt;
}

}  // namespace ringout::checks
