// Any bytes as a list of readings, and as one answer typed at the terminal: read and judged, or refused with what is
// wrong.
#include <cstddef>
#include <cstdint>
#include <string>

#include "base/check.h"
#include "cold/judge.h"
#include "robot/testing.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
  using namespace ringout;
  static const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  static const cold::Sheet sheet = cold::cold_sheet(robot);
  const std::string text(reinterpret_cast<const char*>(bytes), size);
  const auto readings = cold::read_list("fuzzed.txt", text, sheet);
  if (readings) {
    for (const cold::Judgement& j : cold::judged(sheet, *readings)) RINGOUT_CHECK(j.step != nullptr);
  } else {
    RINGOUT_CHECK(readings.error().kind == ErrorKind::bad_input && !readings.error().message.empty());
  }
  for (const auto kind : {cold::StepKind::feed, cold::StepKind::first_power}) {
    const auto values = cold::read_values(text, kind);
    RINGOUT_CHECK(values.has_value() || !values.error().message.empty());
  }
  return 0;
}
