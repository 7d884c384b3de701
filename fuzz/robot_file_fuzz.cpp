// Any bytes as a robot file and as a catalogue file: findings, never a crash. Bytes that begin with "~" are edits of
// the demonstration robot, so that the deeper checks are reached too.
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "base/check.h"
#include "robot/difference.h"
#include "robot/fingerprint.h"
#include "robot/path.h"
#include "robot/quantity_paths.h"
#include "robot/robot_file.h"
#include "robot/testing.h"

using namespace ringout;
using namespace ringout::robot;

namespace {

const Catalogue& shipped() {
  static const Catalogue catalogue = testing::shipped_catalogue(RINGOUT_SOURCE_DIR);
  return catalogue;
}

// Bytes as edits of a text that is nearly right: position, how much goes, what comes. Deeper than random bytes reach.
std::string spoilt(const std::uint8_t* bytes, std::size_t size) {
  static const std::string good = testing::load_text(RINGOUT_SOURCE_DIR, "examples/tray_carrier/robot.toml").text();
  std::string text = good;
  std::size_t at = 0;
  while (at + 4 <= size) {
    const std::size_t place = (std::size_t{bytes[at]} << 8U | bytes[at + 1]) % text.size();
    const std::size_t gone = bytes[at + 2] % 32;
    const std::size_t come = std::min<std::size_t>(bytes[at + 3] % 32, size - at - 4);
    text.replace(place, gone, std::string(reinterpret_cast<const char*>(bytes) + at + 4, come));
    at += 4 + come;
  }
  return text;
}

void read(const std::string& bytes) {
  const SourceText text("fuzzed.toml", bytes);
  Diagnostics found;
  const std::optional<Robot> robot = read_robot(text, shipped(), found);
  RINGOUT_CHECK(robot.has_value() != found.has_errors());
  for (const Diagnostic& d : found.all()) RINGOUT_CHECK(!render(d, &text).empty());
  if (!robot) return;
  check_references(*robot, found);
  for (const Output& o : robot->outputs) RINGOUT_CHECK(!path_of(*robot, o).empty());
  for (const Input& i : robot->inputs) RINGOUT_CHECK(!path_of(*robot, i).empty());
  RINGOUT_CHECK(difference(*robot, *robot).empty());
  Robot varied = *robot;
  for (const Tolerance& t : robot->tolerances) RINGOUT_CHECK(quantity_at(varied, t.path) != nullptr);
  RINGOUT_CHECK(crc32(program_text(*robot)) == program_fingerprint(*robot));
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
  const std::string plain(reinterpret_cast<const char*>(bytes), size);
  if (size > 0 && bytes[0] == '~') {
    read(spoilt(bytes + 1, size - 1));
    return 0;
  }
  read(plain);
  Diagnostics found;
  (void)read_catalogue({SourceText("fuzzed.toml", plain)}, found);
  return 0;
}
