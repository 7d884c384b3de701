#include "bind/firmware_build.h"

#include <fmt/format.h>

#include <array>
#include <charconv>

#include "bind/point_table.h"
#include "bind/points_hpp.h"

namespace ringout::bind {
namespace {

// Both lists are read by cmake/avr.cmake as well.
constexpr auto chip_flags = std::to_array<const char*>({
#include "bind/firmware_flags.inc"
});
constexpr auto chip_sources = std::to_array<const char*>({
#include "bind/firmware_sources.inc"
});

// The pin plan that agent/ports/avr_mega2560/pins.h has built in, in the order of the port's index.
constexpr std::array<const char*, 8> bridge_pins = {"PE3 PC0 PK0", "PE4 PC1 PK1", "PH3 PC2 PK2", "PH4 PC3 PK3",
                                                    "PH5 PC4 PK4", "PL3 PC5 PK5", "PL4 PC6 PK6", "PL5 PC7 PK7"};
constexpr std::array<const char*, 6> encoder_pins = {"PB0 PB1", "PB2 PB3", "PB4 PB5", "PB6 PB7", "PE5 PE6", "PE7 PD2"};
constexpr std::array<const char*, 8> switch_pins = {"PA0", "PA1", "PA2", "PA3", "PA4", "PA5", "PA6", "PA7"};

std::string joined(const std::vector<std::string>& pins) {
  return fmt::format("{}", fmt::join(pins, " "));
}

// How it reads the supply before a table says it, and the channels it scans (pins.h as well).
constexpr std::uint8_t supply_adc = 0;
constexpr double supply_divider_ratio = 4.0;
constexpr Voltage logic = volts(5);
constexpr int adc_bits = 10;
constexpr std::uint8_t last_adc_channel = 7;

tl::unexpected<Error> not_built_for(const robot::Board& board, const std::string& why) {
  return failure(ErrorKind::bad_input, "bind.board-not-built-for",
                 fmt::format("the firmware for atmega2560 cannot serve board {}: {}", board.name, why),
                 "wire the board as nursery_mega is, or build for the twin");
}

Result<void> fits_converter(const robot::Board& board) {
  if (board.supply_adc != supply_adc || board.supply_divider_ratio != supply_divider_ratio) {
    return not_built_for(board,
                         fmt::format("it reads the supply on ADC{} through a divider by {}, built in are ADC{} "
                                     "and {}",
                                     board.supply_adc, board.supply_divider_ratio, supply_adc, supply_divider_ratio));
  }
  if (board.logic != logic || board.adc_bits != adc_bits) {
    return not_built_for(board, fmt::format("its converter has {} bits of {} V, built in are {} of {}", board.adc_bits,
                                            board.logic.in(volts(1)), adc_bits, logic.in(volts(1))));
  }
  const auto scanned = [](std::optional<std::uint8_t> channel) { return !channel || *channel <= last_adc_channel; };
  for (const robot::BoardPort& port : board.ports) {
    if (port.kind != robot::PortKind::analogue_input || scanned(port.adc_channel)) continue;
    return not_built_for(board, fmt::format("port {} is on ADC{}, the last one read is ADC{}", port.name,
                                            *port.adc_channel, last_adc_channel));
  }
  for (const robot::BoardBank& bank : board.banks) {
    if (scanned(bank.sense_adc)) continue;
    return not_built_for(board, fmt::format("bank {} is sensed on ADC{}, the last one read is ADC{}", bank.name,
                                            *bank.sense_adc, last_adc_channel));
  }
  return {};
}

Result<void> fits_plan(const robot::Board& board, robot::PortKind kind, const char* const* pins, std::size_t count) {
  const auto refuse = [&](const std::string& why) { return not_built_for(board, why); };
  const auto ports = board.of_kind(kind);
  if (ports.size() > count) return refuse(fmt::format("{} ports of one kind, it has {}", ports.size(), count));
  for (const auto* port : ports) {
    const std::string built_in = pins[port->index];
    if (joined(port->pins) != built_in)
      return refuse(fmt::format("port {} is on {}, built in is {}", port->name, joined(port->pins), built_in));
    if (port->inverted) return refuse(fmt::format("port {} is inverted", port->name));
    if (kind == robot::PortKind::bridge && port->drive != robot::DriveMode::pwm_and_two_directions)
      return refuse(fmt::format("port {} is not driven by PWM and two directions", port->name));
  }
  return {};
}

Result<void> fits_firmware(const robot::Board& board) {
  if (board.chip != "atmega2560" || board.clock.in(hertz(1)) != 16e6 || board.line_rate_baud != 1'000'000)
    return failure(ErrorKind::bad_input, "bind.board-not-built-for",
                   fmt::format("the firmware needs an atmega2560 at 16 MHz and 1 000 000 baud; board {} is {}",
                               board.name, board.chip),
                   "name another board in the robot file, or build for the twin");
  if (auto ok = fits_converter(board); !ok) return ok;
  if (auto ok = fits_plan(board, robot::PortKind::bridge, bridge_pins.data(), bridge_pins.size()); !ok) return ok;
  if (auto ok = fits_plan(board, robot::PortKind::encoder_input, encoder_pins.data(), encoder_pins.size()); !ok)
    return ok;
  return fits_plan(board, robot::PortKind::switch_input, switch_pins.data(), switch_pins.size());
}

BuildPlan plan_for_chip(const robot::Robot& robot, const BuildRequest& request) {
  BuildPlan plan;
  plan.product = request.out_folder + "/" + robot.name + ".elf";
  plan.map = request.out_folder + "/" + robot.name + ".map";
  plan.files.push_back({request.out_folder + "/board.hpp", board_hpp(robot.board)});
  std::vector<std::string> words = {"avr-g++"};
  words.insert(words.end(), chip_flags.begin(), chip_flags.end());
  for (const auto& definition : request.definitions) words.push_back("-D" + definition);
  words.insert(words.end(), {"-Wl,-Map=" + plan.map, "-I" + request.out_folder, "-I" + request.source_root, "-o",
                             plan.product, request.program});
  for (const char* source : chip_sources) words.push_back(request.source_root + "/" + source);
  plan.commands.push_back(std::move(words));
  // What most boot loaders and programmers take. The EEPROM, where the point table lies, is left as it is.
  plan.commands.push_back(
      {"avr-objcopy", "-O", "ihex", "-R", ".eeprom", plan.product, request.out_folder + "/" + robot.name + ".hex"});
  plan.size_command = {"avr-size", plan.product};
  return plan;
}

BuildPlan plan_for_twin(const robot::Robot& robot, const BuildRequest& request) {
  BuildPlan plan;
  plan.product = request.out_folder + "/" + robot.name + "_program";
  plan.commands.push_back({"g++", "-std=gnu++14", "-O1", "-g", "-Wall", "-Wextra", "-I" + request.out_folder,
                           "-I" + request.source_root, "-o", plan.product, request.program,
                           request.source_root + "/agent/program_points.cpp",
                           request.source_root + "/agent/ports/host/program_child.cpp"});
  return plan;
}

}  // namespace

std::optional<BuildFor> build_for(std::string_view word) {
  if (word == "atmega2560") return BuildFor::atmega2560;
  if (word == "twin") return BuildFor::twin;
  return std::nullopt;
}

std::string board_hpp(const robot::Board& board) {
  return fmt::format(
      "// Board \"{}\", written by ringout from the board file. Do not edit.\n#pragma once\n#include <stdint.h>\n"
      "namespace ringout {{\nconstexpr uint32_t board_fingerprint = 0x{:08X}UL;\n}}\n",
      board.name, board_fingerprint(board));
}

Result<BuildPlan> firmware_build(const robot::Robot& robot, const BuildRequest& request) {
  auto points = points_hpp(robot);
  if (!points) return tl::unexpected(points.error());
  if (request.target == BuildFor::atmega2560) {
    if (auto fits = fits_firmware(robot.board); !fits) return tl::unexpected(fits.error());
  }
  BuildPlan plan =
      request.target == BuildFor::atmega2560 ? plan_for_chip(robot, request) : plan_for_twin(robot, request);
  plan.files.push_back({request.out_folder + "/points.hpp", std::move(*points)});
  return plan;
}

Result<FirmwareSize> read_size(std::string_view output) {
  const auto line_end = output.find('\n');
  std::array<std::uint32_t, 3> figures{};
  std::string_view rest = line_end == std::string_view::npos ? std::string_view{} : output.substr(line_end + 1);
  for (auto& figure : figures) {
    const auto begin = rest.find_first_not_of(" \t");
    rest.remove_prefix(begin == std::string_view::npos ? rest.size() : begin);
    const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), figure);
    if (error != std::errc{})
      return failure(ErrorKind::bad_input, "bind.size-unreadable",
                     "the sizes of the firmware cannot be read from what the size command printed");
    rest.remove_prefix(static_cast<std::size_t>(end - rest.data()));
  }
  const auto [text, data, bss] = figures;
  return FirmwareSize{.flash_bytes = text + data, .static_bytes = data + bss};
}

}  // namespace ringout::bind
