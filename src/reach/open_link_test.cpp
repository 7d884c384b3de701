#include "reach/open_link.h"

#include <doctest/doctest.h>

#include <csignal>
#include <cstdlib>
#include <filesystem>

#include "os/files.h"
#include "os/pty.h"
#include "reach/emulated_stream.h"

using namespace ringout;
using namespace ringout::reach;
namespace fs = std::filesystem;

namespace {

using Bytes = std::vector<std::uint8_t>;

struct Folder {
  Folder() {
    std::string name = (fs::temp_directory_path() / "ringout-reach-XXXXXX").string();
    REQUIRE(mkdtemp(name.data()) != nullptr);
    path = name;
  }
  ~Folder() { fs::remove_all(path); }
  fs::path path;
};

LinkSpec spec(const std::string& on, const Folder& state) {
  LinkSpec s;
  s.on = on;
  s.robot = "examples/tray_carrier/robot.toml";
  s.catalogue = {"data"};
  s.firmware = RINGOUT_SELFCHECK_ELF;
  s.emulator = RINGOUT_EMULATED;
  s.state_folder = state.path.string();
  return s;
}

std::string refusal(const LinkSpec& s) {
  const auto opened = open_link(s);
  REQUIRE_FALSE(opened.has_value());
  CHECK_FALSE(opened.error().message.empty());
  return opened.error().id;
}

// The first bytes within 20 ms of the stream's own time.
Bytes answer(link::TimedStream& stream, const Bytes& command) {
  REQUIRE(stream.write(command).has_value());
  const auto event = stream.wait_until(stream.now() + Duration::milliseconds(20));
  const auto* arrived = std::get_if<link::Arrived>(&event);
  return arrived == nullptr ? Bytes{} : arrived->bytes;
}

}  // namespace

TEST_CASE("no link is a link that says so") {
  const Folder state;
  const auto opened = open_link(spec("none", state));
  REQUIRE(opened.has_value());
  CHECK(opened->stream == nullptr);
  CHECK(opened->bystander == nullptr);
}

TEST_CASE("a serial device is opened as hardware, without a bystander") {
  const Folder state;
  auto pty = os::Pty::open();
  REQUIRE(pty.has_value());
  const auto opened = open_link(spec(pty->path(), state));
  REQUIRE(opened.has_value());
  CHECK(opened->stream->kind() == link::StreamKind::hardware);
  CHECK(opened->bystander == nullptr);
  CHECK(refusal(spec(pty->path(), state)) == "link.port-in-use");
}

TEST_CASE("what cannot be opened says why") {
  const Folder state;
  CHECK(refusal(spec("twinn", state)) == "link.unknown-name");
  CHECK(refusal(spec("/dev/ringout-none", state)) == "link.no-such-device");
  CHECK(refusal(spec("twin:no.toml", state)) == "file.not-found");
  LinkSpec s = spec("emulated", state);
  s.firmware = "no.elf";
  CHECK(refusal(s) == "link.no-firmware");
  s = spec("emulated", state);
  s.emulator = "ringout-no-such-program";
  CHECK(refusal(s) == "child.not-found");
  s = spec("emulated:examples/tray_carrier/deviations/old_firmware.toml", state);
  s.source_root = "/nowhere";
  CHECK(refusal(s) == "link.firmware-not-built");
  s = spec("twin", state);
  REQUIRE(os::write_atomically(eeprom_path(s), "short").has_value());
  CHECK(refusal(s) == "link.bad-eeprom");
}

TEST_CASE("the twin is simulated, has a bystander, and its clock is its own") {
  const Folder state;
  const auto opened = open_link(spec("twin", state));
  REQUIRE_MESSAGE(opened.has_value(), (opened ? "" : opened.error().message));
  CHECK(opened->stream->kind() == link::StreamKind::simulated);
  CHECK(opened->stream->name() == "twin");
  // After power-up it says one thing by itself: the end of whatever frame a reset may have cut off.
  const auto first = opened->stream->wait_until(opened->stream->now() + Duration::milliseconds(20));
  REQUIRE(std::holds_alternative<link::Arrived>(first));
  CHECK(std::get<link::Arrived>(first).bytes == Bytes{0});
  const Instant before = opened->stream->now();
  CHECK(std::holds_alternative<link::DeadlinePassed>(opened->stream->wait_until(before + Duration::seconds(1))));
  CHECK(opened->stream->now() == before + Duration::seconds(1));
  CHECK(opened->bystander->work_by_hand("lift_top", true).has_value());
  CHECK_FALSE(opened->bystander->work_by_hand("lid", true).has_value());
  CHECK(opened->truth().value().battery_volts > 11);
}

TEST_CASE("the emulated controller answers, has a bystander, and keeps its EEPROM from one opening to the next") {
  const Folder state;
  const LinkSpec s = spec("emulated:examples/tray_carrier/deviations/connector_repair.toml", state);
  {
    const auto opened = open_link(s);
    REQUIRE_MESSAGE(opened.has_value(), (opened ? "" : opened.error().message));
    link::TimedStream& stream = *opened->stream;
    CHECK(stream.kind() == link::StreamKind::simulated);
    (void)stream.wait_until(Instant{} + Duration::milliseconds(2));
    CHECK(answer(stream, {'e', 0x5A}) == Bytes{0x5A});
    CHECK(answer(stream, {'W', 0x10, 0x02, 0xC4, 'e', 1}) == Bytes{1});
    CHECK(opened->bystander->work_by_hand("lift_top", true).has_value());
    CHECK(opened->bystander->work_by_hand("lid", true).error().id == "emulator.unknown-input");
    CHECK(opened->truth().value().battery_volts > 11);
    CHECK(opened->bystander->look().has_value());
  }
  const auto image = os::read_bytes(eeprom_path(s), 4096);
  REQUIRE(image.has_value());
  CHECK(image->at(0x210) == 0xC4);
  const auto again = open_link(s);
  REQUIRE(again.has_value());
  (void)again->stream->wait_until(Instant{} + Duration::milliseconds(2));
  CHECK(answer(*again->stream, {'G', 0x10, 0x02}) == Bytes{0xC4});
}

TEST_CASE("reset, power cut and counters of the emulated controller are within reach of tests") {
  const Folder state;
  auto stream = EmulatedStream::start({.program = RINGOUT_EMULATED,
                                       .robot = "examples/tray_carrier/robot.toml",
                                       .catalogue = {"data"},
                                       .deviations = std::nullopt,
                                       .firmware = RINGOUT_SELFCHECK_ELF,
                                       .eeprom = ""},
                                      "emulated");
  REQUIRE_MESSAGE(stream.has_value(), (stream ? "" : stream.error().message));
  (void)(*stream)->wait_until(Instant{} + Duration::milliseconds(2));
  REQUIRE((*stream)->reset().has_value());
  REQUIRE((*stream)->cut_power(Duration::milliseconds(5)).has_value());
  (void)(*stream)->wait_until(Instant{} + Duration::milliseconds(20));
  CHECK(answer(**stream, {'c'}) == Bytes{1, 0});
  CHECK((*stream)->counters().value().resets == 2);
}

TEST_CASE("a controller whose process ends closes the stream and everything after it") {
  const Folder state;
  // Says its process id, then becomes the emulator.
  const fs::path starter = state.path / "starter";
  const fs::path id_file = state.path / "id";
  REQUIRE(os::write_atomically(starter.string(),
                               "#!/bin/sh\necho $$ > " + id_file.string() + "\nexec " RINGOUT_EMULATED " \"$@\"\n")
              .has_value());
  fs::permissions(starter, fs::perms::owner_all);
  auto stream = EmulatedStream::start({.program = starter.string(),
                                       .robot = "examples/tray_carrier/robot.toml",
                                       .catalogue = {"data"},
                                       .deviations = std::nullopt,
                                       .firmware = RINGOUT_SELFCHECK_ELF,
                                       .eeprom = ""},
                                      "emulated");
  REQUIRE_MESSAGE(stream.has_value(), (stream ? "" : stream.error().message));
  REQUIRE(std::holds_alternative<link::DeadlinePassed>((*stream)->wait_until(Instant{} + Duration::milliseconds(1))));
  const auto id = os::read_bytes(id_file.string(), 100);
  REQUIRE(id.has_value());
  REQUIRE(kill(std::stoi(std::string(id->begin(), id->end())), SIGKILL) == 0);
  const auto event = (*stream)->wait_until(Instant{} + Duration::milliseconds(2));
  const auto* closed = std::get_if<link::Closed>(&event);
  REQUIRE(closed != nullptr);
  CHECK(closed->why.id == "child.gone");
  CHECK((*stream)->write(Bytes{'c'}).error().id == "link.emulator-gone");
}

TEST_CASE("a program that is no controller and ends at once is told") {
  auto stream = EmulatedStream::start(
      {.program = "true", .robot = "", .catalogue = {}, .deviations = {}, .firmware = "", .eeprom = ""}, "x");
  REQUIRE_FALSE(stream.has_value());
  CHECK(stream.error().id == "child.gone");
}

TEST_CASE("a stale table is in the EEPROM before anything is loaded, unless a load has replaced it") {
  const Folder state;
  const LinkSpec s = spec("emulated:examples/tray_carrier/deviations/stale_table.toml", state);
  REQUIRE(open_link(s).has_value());
  const auto image = os::read_bytes(eeprom_path(s), 4096);
  REQUIRE(image.has_value());
  CHECK(*image != Bytes(4096, 0xFF));
  REQUIRE(os::write_atomically(eeprom_path(s), std::string(4096, 'x')).has_value());
  REQUIRE(open_link(s).has_value());
  CHECK(os::read_bytes(eeprom_path(s), 4096).value() == Bytes(4096, 'x'));
}

TEST_CASE("each deviations file has an EEPROM of its own, beside the robot file") {
  LinkSpec s;
  s.robot = "team/robot.toml";
  s.on = "twin";
  CHECK(eeprom_path(s) == "team/.ringout/twin.eeprom");
  s.on = "emulated:../d/connector_repair.toml";
  const fs::path kept = eeprom_path(s);
  CHECK(kept.parent_path() == "team/.ringout");
  CHECK(kept.filename().string().rfind("emulated.connector_repair.", 0) == 0);
  CHECK(kept.extension() == ".eeprom");
  s.on = "emulated:../d/./connector_repair.toml";
  CHECK(eeprom_path(s) == kept);
  s.on = "emulated:../e/connector_repair.toml";
  CHECK(eeprom_path(s) != kept);
}
