// A bench for tests: the demonstration robot as a twin, its line as a TimedStream, and a watch on what really moves.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "bind/point_table.h"
#include "link/timed_stream.h"
#include "plant/deviations.h"
#include "robot/robot.h"
#include "robot/testing.h"
#include "session/session.h"
#include "twin/twin.h"

namespace ringout::device_tests {

// The twin's line; time goes on in steps of at most a millisecond so that `each_step` can look at the truth.
class TwinLine : public link::TimedStream {
 public:
  explicit TwinLine(twin::Twin& twin) : twin_(twin) {}

  std::function<void(Instant)> each_step;

  [[nodiscard]] Instant now() const override { return twin_.now(); }
  [[nodiscard]] Result<void> write(std::span<const std::uint8_t> bytes) override {
    twin_.write(bytes);
    return {};
  }
  [[nodiscard]] link::StreamEvent wait_until(Instant deadline) override {
    do {
      const Instant next = each_step ? std::min(deadline, twin_.now() + Duration::milliseconds(1)) : deadline;
      const std::vector<twin::TimedByte> came = twin_.run_until(next, twin::Twin::Until::first_bytes);
      if (each_step) each_step(twin_.now());
      if (!came.empty()) {
        link::Arrived arrived{.bytes = {}, .at = came.back().at};
        for (const twin::TimedByte& one : came) arrived.bytes.push_back(one.byte);
        return arrived;
      }
    } while (twin_.now() < deadline);
    return link::DeadlinePassed{};
  }
  [[nodiscard]] link::StreamKind kind() const override { return link::StreamKind::simulated; }
  [[nodiscard]] std::string name() const override { return "twin"; }

 private:
  twin::Twin& twin_;
};

struct Bench {
  robot::Robot robot;
  plant::Deviations deviations;
  std::unique_ptr<twin::Twin> twin;
  std::unique_ptr<TwinLine> line;

  [[nodiscard]] double most_current() const;  // of all motors, A
  [[nodiscard]] int hard_stop_hits() const;
};

enum class Table { loaded, none };

// `deviations`: a file under examples/tray_carrier/deviations, or empty for the robot as drawn.
[[nodiscard]] Bench make_bench(const std::string& deviations, Table table, const std::string& program = "");

// The same with deviations made by a test.
[[nodiscard]] Bench make_bench(const plant::Deviations& deviations, Table table, const std::string& program = "");
// Of any robot.
[[nodiscard]] Bench make_bench(const robot::Robot& drawn, const plant::Deviations& deviations, Table table,
                               const std::string& program = "");

// The table that a session for this robot asks for while nothing is proved.
[[nodiscard]] std::vector<std::uint8_t> unproved_table(const robot::Robot& robot);

}  // namespace ringout::device_tests
