// SPDX-License-Identifier: GPL-3.0-or-later
// ringout-emulated: a robot's controller chip, emulated, with the robot around it simulated.
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <array>
#include <cstdio>
#include <exception>

#include "emulator/server.h"
#include "os/files.h"
#include "os/interrupts.h"
#include "os/pty_service.h"
#include "plant/bystander_words.h"
#include "reach/robot_files.h"

namespace {

using namespace ringout;

struct Options {
  std::string robot;
  std::vector<std::string> catalogue;
  std::string deviations;
  std::string firmware;
  std::string eeprom;
  bool pty = false;
};

int report(const Error& error) {
  fmt::print(stderr, "ringout-emulated: {} [{}]\n", error.message, error.id);
  if (!error.hint.empty()) fmt::print(stderr, "  {}\n", error.hint);
  return static_cast<int>(exit_status(error.kind));
}

Result<std::unique_ptr<emulator::Chip>> load_chip(const Options& options) {
  auto chip = emulator::Chip::load(options.firmware);
  if (!chip || options.eeprom.empty() || !os::is_file(options.eeprom)) return chip;
  const auto image = os::read_bytes(options.eeprom, emulator::eeprom_bytes);
  if (!image) return tl::unexpected(image.error());
  if (image->size() != emulator::eeprom_bytes) {
    return failure(ErrorKind::bad_input, "emulator.bad-eeprom",
                   options.eeprom + " has " + std::to_string(image->size()) + " bytes, not the EEPROM's " +
                       std::to_string(emulator::eeprom_bytes),
                   "remove the file: the emulated controller then starts with an empty EEPROM");
  }
  (*chip)->set_eeprom(*image);
  return chip;
}

Result<void> serve_pty(emulator::Rig& rig) {
  auto line = os::Pty::open();
  if (!line) return tl::unexpected(line.error());
  fmt::print("emulated controller on {}\n", line->path());
  std::fflush(stdout);
  return os::serve_on_pty(rig, *line, STDIN_FILENO, [&](const std::string& text) { return plant::follow(rig, text); });
}

Result<void> serve_messages(emulator::Server& server) {
  emulator::MessageSplitter messages;
  std::array<std::uint8_t, 65536> buffer;
  while (true) {
    const ssize_t got = ::read(STDIN_FILENO, buffer.data(), buffer.size());
    if (got < 0 && errno == EINTR && !os::interrupted()) continue;
    if (got <= 0) return {};
    messages.add(std::span(buffer).first(static_cast<std::size_t>(got)));
    while (true) {
      auto body = messages.next();
      const bool damaged = !body;
      if (!damaged && !*body) break;
      const auto reply = damaged ? emulator::refusal_of(body.error()) : server.answer(**body);
      if (std::fwrite(reply.data(), 1, reply.size(), stdout) != reply.size() || std::fflush(stdout) != 0) return {};
      if (damaged) return tl::unexpected(body.error());
    }
  }
}

Result<void> serve(const Options& options) {
  auto robot = reach::load_simulated(
      options.robot, options.deviations.empty() ? std::nullopt : std::optional(options.deviations), options.catalogue);
  if (!robot) return tl::unexpected(robot.error());
  auto wiring = emulator::wiring_of(robot->drawn.board);
  if (!wiring) return tl::unexpected(wiring.error());
  auto chip = load_chip(options);
  if (!chip) return tl::unexpected(chip.error());
  emulator::Rig rig(robot->drawn, robot->deviations, std::move(*wiring), std::move(*chip));

  const auto save = [&](std::span<const std::uint8_t> image) -> Result<void> {
    return options.eeprom.empty() ? Result<void>{} : os::write_atomically(options.eeprom, image);
  };
  emulator::Server server(rig, save);
  auto served = options.pty ? serve_pty(rig) : serve_messages(server);
  auto saved = save(rig.chip().eeprom());
  if (!served) return served;
  return saved;
}

int run(int count, char** words) {
  Options options;
  CLI::App app(
      "A controller chip (ATmega2560), emulated, running the real firmware in a simulated robot.\n"
      "Spoken to on standard input and output (see PROTOCOL.md), or behind a pseudo-terminal with --pty.\n"
      "Free software under the GNU General Public License, version 3 or later.");
  app.add_option("--robot", options.robot, "robot file")->required();
  app.add_option("--catalogue", options.catalogue, "folder of boards and devices; may be given more than once");
  app.add_option("--deviations", options.deviations, "how the simulated robot differs from the drawn one");
  app.add_option("--firmware", options.firmware, "firmware (.elf)")->required();
  app.add_option("--eeprom", options.eeprom, "file that keeps the chip's EEPROM; made when missing");
  app.add_flag("--pty", options.pty,
               "pace to real time behind a pseudo-terminal; lines on standard input: press NAME, release NAME, "
               "open disconnect, close disconnect, reset NAME, look");
  try {
    app.parse(count, words);
  } catch (const CLI::ParseError& error) {
    const int shown = app.exit(error);
    return shown == 0 ? 0 : static_cast<int>(ExitStatus::bad_input);
  }
  os::catch_interrupts();
  const auto served = serve(options);
  return served ? 0 : report(served.error());
}

}  // namespace

int main(int count, char** words) {
  try {
    return run(count, words);
  } catch (const std::exception& bug) {
    std::fprintf(stderr, "ringout-emulated: a bug: %s\n", bug.what());
    return static_cast<int>(ExitStatus::internal_error);
  }
}
