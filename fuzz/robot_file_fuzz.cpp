// Any bytes as a robot file and as a catalogue file: findings, never a crash. Bytes that begin with "~" are edits of
// the demonstration robot, those that begin with "=" other numbers in it, so that the deeper checks and the desk check
// are reached too.
#include <cstddef>
#include <cstdint>
#include <functional>
#include <iterator>
#include <map>
#include <string>
#include <vector>

#include "base/check.h"
#include "desk/desk.h"
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

// Bytes as numbers for the numerals of a text that is right: which (two bytes), the new one (of a list, one byte).
std::string renumbered(const std::uint8_t* bytes, std::size_t size) {
  static const std::string good = testing::load_text(RINGOUT_SOURCE_DIR, "examples/tray_carrier/robot.toml").text();
  static constexpr const char* numbers[] = {
      "0",   "1",    "2",     "3",   "7",   "10",   "12", "15",  "18",    "24",   "30",  "40",  "50",  "90",  "100",
      "360", "1000", "65535", "1e5", "1e9", "1e15", "-1", "-50", "0.001", "0.01", "0.1", "0.5", "0.9", "1.5", "1e-9"};
  static const std::vector<std::size_t> places = [] {
    std::vector<std::size_t> found;
    for (std::size_t i = 1; i < good.size(); ++i) {
      const auto digit = [](char c) { return c >= '0' && c <= '9'; };
      const char before = good[i - 1];
      if (digit(good[i]) && !digit(before) && (before == '"' || before == ' ' || before == '-')) found.push_back(i);
    }
    return found;
  }();
  std::string text = good;
  // From the back, so that the places before keep theirs; each at most once.
  std::map<std::size_t, std::size_t, std::greater<>> chosen;
  for (std::size_t at = 0; at + 3 <= size; at += 3) {
    chosen[(std::size_t{bytes[at]} << 8U | bytes[at + 1]) % places.size()] = bytes[at + 2] % std::size(numbers);
  }
  for (const auto& [which, number] : chosen) {
    const std::size_t end = text.find_first_not_of("0123456789.", places[which]);
    text.replace(places[which], end - places[which], numbers[number]);
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
  // What can be read can be checked on paper.
  if (found.has_errors()) return;
  const desk::DeskReport report = desk::desk_check(*robot, {.draws = 2});
  RINGOUT_CHECK(report.cases.size() >= robot->load_cases.size());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
  const std::string plain(reinterpret_cast<const char*>(bytes), size);
  if (size > 0 && bytes[0] == '~') {
    read(spoilt(bytes + 1, size - 1));
    return 0;
  }
  if (size > 0 && bytes[0] == '=') {
    read(renumbered(bytes + 1, size - 1));
    return 0;
  }
  read(plain);
  Diagnostics found;
  (void)read_catalogue({SourceText("fuzzed.toml", plain)}, found);
  return 0;
}
