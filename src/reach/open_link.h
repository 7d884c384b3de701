// Opens what a person names with --on.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>

#include "base/result.h"
#include "link/timed_stream.h"
#include "os/serial_port.h"
#include "plant/bystander.h"
#include "plant/plant.h"
#include "reach/robot_files.h"

namespace ringout::reach {

struct LinkSpec {
  std::string on;     // as written after --on (reach/link_name.h)
  std::string robot;  // path of the robot file: what is simulated where no deviations file names another one
  CatalogueFolders catalogue;
  std::uint32_t line_rate_baud = 1'000'000;  // of the board, for a serial port
  std::string twin_program;                  // the team's program, built for the twin; empty: the twin carries none
  std::string firmware;                      // the team's firmware (.elf), for the emulated controller
  std::string source_root;  // of agent/ and wire/, where a deviation asks for another firmware than the team's
  std::string emulator;     // ringout-emulated; empty: looked for beside this program, then in PATH
  // Where simulated controllers keep their EEPROM; empty: the folder .ringout beside the robot file.
  std::string state_folder;
};

struct OpenedLink {
  std::unique_ptr<link::TimedStream> stream;    // none where the link is `none`
  plant::Bystander* bystander = nullptr;        // belongs to the stream; none on hardware
  std::function<Result<plant::Truth>()> truth;  // simulated links: for tests and demonstrations, never to judge by
  std::string note;                             // something the person should know, or empty
};

// Errors of reading the name, the robot and the deviations, of opening the port (os/serial_port.h), and:
// link.no-firmware, and those of reach/deviating_firmware.h.
[[nodiscard]] Result<OpenedLink> open_link(const LinkSpec& spec);

// Puts a simulated controller behind a pseudo-terminal, paced to real time, until interrupted. Lines on standard input
// work the hands beside it (plant/bystander_words.h). `announce` gets the path to open.
[[nodiscard]] Result<void> serve_on_pseudo_terminal(const LinkSpec& spec,
                                                    const std::function<void(const std::string& path)>& announce);

// The file that keeps the EEPROM of a simulated controller; each deviations file is a robot of its own.
[[nodiscard]] std::string eeprom_path(const LinkSpec& spec);

}  // namespace ringout::reach
