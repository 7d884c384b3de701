// Records the frozen captures of tests/regressions/bumps anew: record_bumps FOLDER. They were recorded once, before
// later tuning, and are not recorded again with it: what changes when the identification changes must show.
#include <cstdio>
#include <fstream>
#include <string>
#include <vector>

#include "bench.h"
#include "capture/capture.h"
#include "robot/testing.h"

using namespace ringout;

namespace {

plant::Deviation deviation(plant::DeviationKind kind, std::vector<std::string> points, const std::string& device = {},
                           const std::string& channel = {}) {
  plant::Deviation d;
  d.kind = kind;
  d.points = std::move(points);
  d.device = device;
  d.channel = channel;
  return d;
}

struct Recording {
  std::string name;
  std::vector<plant::Deviation> deviations;
  std::vector<std::string> ports;
};

std::vector<Recording> recordings() {
  using plant::DeviationKind;
  return {{"leads_exchanged", {deviation(DeviationKind::exchanged, {"clamp", "mist_pump"})}, {"OUT4", "OUT6", "OUT7"}},
          {"other_motor_and_dead_channel",
           {deviation(DeviationKind::wrong_device, {"clamp"}, "belt_motor_12v"),
            deviation(DeviationKind::channel_dead, {"left_encoder"}, {}, "A")},
           {"OUT1", "OUT4", "OUT7"}},
          {"reversed_lift_and_loose_belt",
           {deviation(DeviationKind::leads_reversed, {"lift"}), deviation(DeviationKind::intermittent_wire, {"belt"})},
           {"OUT3", "OUT5", "OUT7"}}};
}

// Every n-th sample is enough and keeps the files small.
void thin(std::vector<capture::Sample>& samples, std::size_t n) {
  std::vector<capture::Sample> kept;
  for (std::size_t i = 0; i < samples.size(); i += n) kept.push_back(samples[i]);
  samples = std::move(kept);
}

capture::Capture record(const robot::Robot& drawn, const Recording& recording) {
  plant::Deviations deviations;
  deviations.seed = 77;
  deviations.all = recording.deviations;
  scenarios::Bench bench(drawn, deviations, 77);
  const prove::BumpPlan plan = prove::plan_bumps(drawn);
  capture::Capture c;
  c.header = {.robot = drawn.name,
              .board = drawn.board.name,
              .table_fingerprint = 0,
              .bridges = 8,
              .encoders = 6,
              .switches = 8,
              .adc_channels = 8};
  for (const std::string& port : recording.ports) {
    std::vector<capture::BumpRecord> bumps;
    const std::uint8_t bridge = drawn.port_of(port).index;
    bench.bump_pair(bridge, plan, bumps);
    const prove::Look look = bench.look_at(bridge, plan, bumps, {}).front();
    for (capture::BumpRecord& bump : bumps) {
      thin(bump.before, 8);
      thin(bump.during, 2);
      thin(bump.after, 24);
      capture::append_record(bump, c.entries);
    }
    c.entries.emplace_back(capture::AnswerGiven{.clock_us = bumps.back().ended_us,
                                                .bridge = bridge,
                                                .saw = look.saw == prove::Saw::device ? "device" : "nothing",
                                                .point = look.point,
                                                .direction = look.direction});
  }
  return c;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  const auto drawn = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  for (const Recording& recording : recordings()) {
    const std::string path = std::string(argv[1]) + "/" + recording.name + ".capture";
    std::ofstream(path, std::ios::binary) << capture::write_capture(record(drawn, recording));
    std::printf("%s\n", path.c_str());
  }
  return 0;
}
