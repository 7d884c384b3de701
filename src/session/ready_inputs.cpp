// Go/no-go: whether the inputs at rest say something that can be.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "prove/sensor_supply.h"
#include "session/session.h"

namespace ringout::session {
namespace {

constexpr Duration looked_at = Duration::milliseconds(200);
constexpr double range_margin = 0.04;  // of full scale, beyond the device's two voltages

// Levels come with the board's inversion undone; high means open, because inputs have pull-ups.
bool is_pressed(const robot::Robot& robot, const robot::Input& input, std::uint16_t levels) {
  const robot::BoardPort& port = robot.port_of(input.port);
  const auto* device = robot.device_of(input.device).as<robot::SwitchDevice>();
  const bool closed = ((levels >> port.index) & 1U) == 0;
  return closed != (device && device->normally_closed);
}

std::string analogue_complaint(const robot::Robot& robot, const robot::Input& input,
                               const std::vector<capture::Sample>& samples) {
  const robot::BoardPort& port = robot.port_of(input.port);
  const auto* device = robot.device_of(input.device).as<robot::AnalogueDevice>();
  if (!device || !port.adc_channel) return "";
  double sum = 0.0;
  for (const capture::Sample& sample : samples) sum += sample.adc.at(*port.adc_channel);
  const double full = std::exp2(robot.board.adc_bits);
  const double logic = robot.board.logic.in(volts(1));
  const double read = sum / static_cast<double>(samples.size()) / full * logic * port.divider_ratio;
  const double low = std::min(device->at_low, device->at_high).in(volts(1));
  const double high = std::max(device->at_low, device->at_high).in(volts(1));
  const double margin = range_margin * logic * port.divider_ratio;
  if (read >= low - margin && read <= high + margin) return "";
  return fmt::format("{} reads {:.2f} V, its sensor gives {:.2f} to {:.2f} V", input.name, read, low, high);
}

std::string switch_complaint(const robot::Robot& robot, const robot::Output& output, std::uint16_t levels) {
  if (!output.low_switch || !output.high_switch) return "";
  const robot::Input* low = robot.input(*output.low_switch);
  const robot::Input* high = robot.input(*output.high_switch);
  if (!low || !high || !is_pressed(robot, *low, levels) || !is_pressed(robot, *high, levels)) return "";
  return low->name + " and " + high->name + " act at the same time, and " + output.name + " cannot be at both ends";
}

std::string restless_complaint(const robot::Robot& robot, const std::vector<capture::Sample>& samples) {
  std::uint16_t changed = 0;
  for (const capture::Sample& sample : samples) {
    changed = static_cast<std::uint16_t>(changed | (sample.switches ^ samples.front().switches));
  }
  for (const robot::Input& input : robot.inputs) {
    const robot::BoardPort& port = robot.port_of(input.port);
    if (input.kind == robot::PointKind::switch_input && ((changed >> port.index) & 1U)) {
      return input.name + " changes while nothing moves";
    }
    if (input.kind == robot::PointKind::encoder &&
        std::abs(samples.back().encoders.at(port.index) - samples.front().encoders.at(port.index)) > 4) {
      return input.name + " counts while nothing is driven";
    }
  }
  return "";
}

}  // namespace

std::string Session::controller_lacks() const {
  const robot::Board& board = setup_.robot.board;
  const link::Controller& c = client_.controller();
  std::string words;
  const auto compare = [&](const char* what, int has, std::size_t drawn) {
    if (drawn <= static_cast<std::size_t>(has)) return;
    words += fmt::format("{}the controller has {} {}, board {} asks for {}", words.empty() ? "" : "; ", has, what,
                         board.name, drawn);
  };
  compare("bridges", c.bridges, board.of_kind(robot::PortKind::bridge).size());
  compare("encoder inputs", c.encoders, board.of_kind(robot::PortKind::encoder_input).size());
  compare("switch inputs", c.switches, board.of_kind(robot::PortKind::switch_input).size());
  std::size_t channels = board.supply_adc + std::size_t{1};
  for (const robot::BoardPort& port : board.ports) {
    if (port.adc_channel) channels = std::max(channels, *port.adc_channel + std::size_t{1});
  }
  for (const robot::BoardBank& bank : board.banks) {
    if (bank.sense_adc) channels = std::max(channels, *bank.sense_adc + std::size_t{1});
  }
  compare("ADC channels", c.adc_channels, channels);
  return words;
}

Result<ReadyStep> Session::check_inputs() {
  ReadyStep s;
  s.id = "inputs";
  s.title = "inputs at rest";
  s.limit = "within their sensors' ranges, at rest, not both ends at once";
  if (const std::string lacks = controller_lacks(); !lacks.empty()) {
    s.reading = lacks;
    s.verdict = StepVerdict::bad;
    s.remedy = other_board_remedy;
    return s;
  }
  if (Result<void> started = start_samples(); !started) return tl::unexpected<Error>(started.error());
  if (Result<void> watched = watch(looked_at); !watched) return tl::unexpected<Error>(watched.error());
  const std::vector<capture::Sample> samples = std::exchange(samples_, {});
  if (Result<void> quiet = quiet_line(); !quiet) return tl::unexpected<Error>(quiet.error());
  if (samples.empty()) {
    s.reading = "no samples arrived";
    s.verdict = StepVerdict::bad;
    s.remedy = "look at the cable; the link answers but loses what is long";
    return s;
  }
  std::vector<std::string> complaints;
  for (const robot::Input& input : setup_.robot.inputs) {
    if (input.kind == robot::PointKind::analogue)
      complaints.push_back(analogue_complaint(setup_.robot, input, samples));
  }
  for (const robot::Output& output : setup_.robot.outputs) {
    complaints.push_back(switch_complaint(setup_.robot, output, samples.back().switches));
  }
  complaints.push_back(restless_complaint(setup_.robot, samples));
  for (const std::string& complaint : complaints) {
    if (!complaint.empty()) s.reading += (s.reading.empty() ? "" : "; ") + complaint;
  }
  s.verdict = s.reading.empty() ? StepVerdict::good : StepVerdict::bad;
  if (s.reading.empty()) s.reading = fmt::format("{} inputs plausible", setup_.robot.inputs.size());
  if (s.verdict == StepVerdict::bad)
    s.remedy = "look at that sensor's wire, connector and supply before anything moves";
  if (const auto silent = prove::without_supply(setup_.robot, samples); !silent.empty())
    s.remedy = prove::measure_supply_words(setup_.robot, silent);
  return s;
}

}  // namespace ringout::session
