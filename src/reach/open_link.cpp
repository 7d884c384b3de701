#include "reach/open_link.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>

#include "bind/point_table.h"
#include "os/files.h"
#include "os/port_list.h"
#include "os/pty_service.h"
#include "plant/bystander_words.h"
#include "reach/deviating_firmware.h"
#include "reach/emulated_stream.h"
#include "reach/link_name.h"
#include "reach/twin_stream.h"
#include "wire/crc.h"

namespace ringout::reach {
namespace {

namespace fs = std::filesystem;
using plant::DeviationKind;

constexpr std::size_t eeprom_bytes = 4096;
// What a table loaded long ago allowed on ports not yet proved; it moves nothing, because it is refused or replaced.
constexpr bind::UnprovedBounds bounds_of_old_table{100, 50, 5};

Result<LinkName> name_of(const LinkSpec& spec) {
  std::vector<std::string> ports;
  for (const os::PortSeen& port : os::list_serial_ports()) ports.push_back(port.path);
  return read_link_name(spec.on, ports);
}

const plant::Deviation* find(const plant::Deviations& deviations, DeviationKind kind) {
  const auto found = std::find_if(deviations.all.begin(), deviations.all.end(),
                                  [&](const plant::Deviation& d) { return d.kind == kind; });
  return found == deviations.all.end() ? nullptr : &*found;
}

// A robot file that a deviation names stands beside the deviations file.
Result<robot::Robot> other_robot(const LinkSpec& spec, const LinkName& name, const plant::Deviation& deviation) {
  const fs::path beside = fs::path(*name.deviations).parent_path() / deviation.file;
  return load_robot(beside.lexically_normal().string(), spec.catalogue);
}

// What is in the EEPROM before anything is loaded: what an earlier run left, or the table that the deviation names.
Result<std::vector<std::uint8_t>> first_eeprom(const LinkSpec& spec, const LinkName& name, const Simulated& simulated) {
  const std::string path = eeprom_path(spec);
  if (os::is_file(path)) {
    auto image = os::read_bytes(path, eeprom_bytes);
    if (image && image->size() != eeprom_bytes) {
      return failure(ErrorKind::bad_input, "link.bad-eeprom", path + " is no EEPROM image of this controller",
                     "remove the file: the simulated controller then starts as new");
    }
    return image;
  }
  const plant::Deviation* stale = find(simulated.deviations, DeviationKind::stale_table);
  if (stale == nullptr) return std::vector<std::uint8_t>{};
  const auto other = other_robot(spec, name, *stale);
  if (!other) return tl::unexpected(other.error());
  const auto table = bind::point_table(*other, bounds_of_old_table);
  if (!table) return tl::unexpected(table.error());
  auto image = twin::eeprom_with_table(bind::encode(*table));
  image.resize(eeprom_bytes, 0xFF);
  return image;
}

Result<OpenedLink> open_twin(const LinkSpec& spec, const LinkName& name) {
  const auto simulated = load_simulated(spec.robot, name.deviations, spec.catalogue);
  if (!simulated) return tl::unexpected(simulated.error());
  twin::TwinOptions options;
  options.program = spec.twin_program;
  const auto board_fp = bind::board_fingerprint(simulated->drawn.board);
  options.firmware = twin::firmware_for(simulated->drawn, board_fp);
  if (const auto* other = find(simulated->deviations, DeviationKind::other_program)) {
    const auto robot = other_robot(spec, name, *other);
    if (!robot) return tl::unexpected(robot.error());
    options.firmware = twin::firmware_for(*robot, bind::board_fingerprint(robot->board));
    options.names = twin::TwinOptions::Names::of_firmware;
  }
  if (find(simulated->deviations, DeviationKind::old_firmware) != nullptr) {
    options.firmware.major = 0;
    options.firmware.minor = 0;
    options.firmware.patch = 9;
  }
  auto eeprom = first_eeprom(spec, name, *simulated);
  if (!eeprom) return tl::unexpected(eeprom.error());
  options.eeprom = std::move(*eeprom);

  auto stream = std::make_unique<TwinStream>(
      std::make_unique<twin::Twin>(simulated->drawn, simulated->deviations, std::move(options)), spec.on,
      eeprom_path(spec));
  OpenedLink opened;
  twin::Twin& twin = stream->twin();
  opened.bystander = &twin.bystander();
  opened.truth = [&twin]() -> Result<plant::Truth> { return twin.plant().truth(); };
  opened.note = twin.program_problem();
  opened.stream = std::move(stream);
  return opened;
}

// Tells deviations files of one name in different folders apart.
std::string fingerprint_of(const std::string& path) {
  wire::Crc32 check;
  for (const char c : path) check.add(static_cast<std::uint8_t>(c));
  return fmt::format("{:08x}", check.value());
}

std::string emulator_program(const LinkSpec& spec) {
  if (!spec.emulator.empty()) return spec.emulator;
  std::error_code ignored;
  const fs::path here = fs::read_symlink("/proc/self/exe", ignored).parent_path();
  for (const char* place : {"ringout-emulated", "../../emulator/ringout-emulated", "../libexec/ringout-emulated"}) {
    const fs::path candidate = (here / place).lexically_normal();
    if (os::is_file(candidate.string())) return candidate.string();
  }
  return "ringout-emulated";
}

// The team's firmware, or the one that a deviation puts in its place.
Result<std::string> firmware_for_emulation(const LinkSpec& spec, const LinkName& name, const Simulated& simulated) {
  const plant::Deviation* other = find(simulated.deviations, DeviationKind::other_program);
  const bool old = find(simulated.deviations, DeviationKind::old_firmware) != nullptr;
  if (other != nullptr || old) {
    FirmwareDeviation deviation;
    if (old) deviation.version = FirmwareDeviation::Version::old;
    if (other != nullptr) {
      auto robot = other_robot(spec, name, *other);
      if (!robot) return tl::unexpected(robot.error());
      deviation.built_against = std::move(*robot);
    }
    const std::string folder = fs::path(eeprom_path(spec)).replace_extension(".firmware").string();
    return build_deviating_firmware(spec, simulated.drawn, deviation, folder);
  }
  if (spec.firmware.empty() || !os::is_file(spec.firmware)) {
    return failure(
        ErrorKind::bad_input, "link.no-firmware",
        spec.firmware.empty() ? "the emulated controller needs a firmware" : "there is no firmware " + spec.firmware,
        "build it first: 'ringout build ROBOT PROGRAM --for atmega2560'");
  }
  return spec.firmware;
}

Result<OpenedLink> open_emulated(const LinkSpec& spec, const LinkName& name) {
  const auto simulated = load_simulated(spec.robot, name.deviations, spec.catalogue);
  if (!simulated) return tl::unexpected(simulated.error());
  const auto firmware = firmware_for_emulation(spec, name, *simulated);
  if (!firmware) return tl::unexpected(firmware.error());
  const auto eeprom = first_eeprom(spec, name, *simulated);
  if (!eeprom) return tl::unexpected(eeprom.error());
  const std::string kept = eeprom_path(spec);
  if (!eeprom->empty() && !os::is_file(kept)) {
    if (const auto written = os::write_atomically(kept, *eeprom); !written) return tl::unexpected(written.error());
  }
  auto stream = EmulatedStream::start({.program = emulator_program(spec),
                                       .robot = simulated->robot_path,
                                       .catalogue = spec.catalogue,
                                       .deviations = name.deviations,
                                       .firmware = *firmware,
                                       .eeprom = kept},
                                      spec.on);
  if (!stream) return tl::unexpected(stream.error());
  OpenedLink opened;
  EmulatedStream& emulated = **stream;
  opened.bystander = &emulated;
  opened.truth = [&emulated] { return emulated.truth(); };
  opened.stream = std::move(*stream);
  return opened;
}

}  // namespace

std::string eeprom_path(const LinkSpec& spec) {
  const fs::path folder =
      spec.state_folder.empty() ? fs::path(spec.robot).parent_path() / ".ringout" : fs::path(spec.state_folder);
  const std::size_t colon = spec.on.find(':');
  std::string file = spec.on.substr(0, colon);
  if (colon != std::string::npos) {
    const fs::path deviations = fs::absolute(spec.on.substr(colon + 1)).lexically_normal();
    const fs::path beside = fs::absolute(spec.robot).lexically_normal().parent_path();
    file += "." + deviations.stem().string() + "." + fingerprint_of(deviations.lexically_relative(beside).string());
  }
  return (folder / (file + ".eeprom")).string();
}

Result<OpenedLink> open_link(const LinkSpec& spec) {
  const auto name = name_of(spec);
  if (!name) return tl::unexpected(name.error());
  switch (name->to) {
    case LinkTo::none:
      return OpenedLink{};
    case LinkTo::twin:
      return open_twin(spec, *name);
    case LinkTo::emulated:
      return open_emulated(spec, *name);
    case LinkTo::serial_port:
      break;
  }
  auto port = os::open_serial_port({.path = name->device, .rate_baud = spec.line_rate_baud});
  if (!port) return tl::unexpected(port.error());
  OpenedLink opened;
  opened.stream = std::move(*port);
  return opened;
}

Result<void> serve_on_pseudo_terminal(const LinkSpec& spec,
                                      const std::function<void(const std::string& path)>& announce) {
  auto opened = open_link(spec);
  if (!opened) return tl::unexpected(opened.error());
  if (opened->bystander == nullptr) {
    return failure(ErrorKind::bad_input, "link.not-simulated", spec.on + " is no simulated controller",
                   "write twin, twin:FILE.toml, emulated or emulated:FILE.toml");
  }
  auto line = os::Pty::open();
  if (!line) return tl::unexpected(line.error());
  announce(line->path());
  return os::serve_on_pty(*opened->stream, *line, STDIN_FILENO,
                          [&](const std::string& text) { return plant::follow(*opened->bystander, text); });
}

}  // namespace ringout::reach
