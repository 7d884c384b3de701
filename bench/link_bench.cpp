// The link at the line's rate against the emulated chip with the shipping firmware: round trips, the share of sample
// bytes on the line, losses, and the agent's load while all points are streamed at 500 Hz. Everything is counted on the
// controller's clock, so the figures are the same on every machine.
// Usage: ringout_link_bench ROBOT.toml CATALOGUE FIRMWARE.elf EMULATOR; ends with 1 where a target is missed.
#include <algorithm>
#include <cstdio>
#include <vector>

#include "link/client.h"
#include "reach/open_link.h"

namespace {

using namespace ringout;

constexpr int round_trips = 1000;
constexpr double wanted_round_trip_ms = 1.5;
constexpr double wanted_payload_share = 0.75;
constexpr double wanted_load = 0.6;
constexpr Duration streamed = Duration::milliseconds(20'000);
constexpr Duration sample_period = Duration::milliseconds(2);

// Passes bytes on and counts those that arrive.
class CountingStream : public link::TimedStream {
 public:
  explicit CountingStream(link::TimedStream& inner) : inner_(inner) {}
  [[nodiscard]] Instant now() const override { return inner_.now(); }
  [[nodiscard]] Result<void> write(std::span<const std::uint8_t> bytes) override { return inner_.write(bytes); }
  [[nodiscard]] link::StreamEvent wait_until(Instant deadline) override {
    link::StreamEvent event = inner_.wait_until(deadline);
    if (const auto* arrived = std::get_if<link::Arrived>(&event)) received += arrived->bytes.size();
    return event;
  }
  [[nodiscard]] link::StreamKind kind() const override { return inner_.kind(); }
  [[nodiscard]] std::string name() const override { return inner_.name(); }

  std::size_t received = 0;

 private:
  link::TimedStream& inner_;
};

bool within(const char* what, double value, const char* unit, bool good, const char* wanted) {
  std::printf("%-44s %8.2f %-3s (wanted: %s)%s\n", what, value, unit, wanted, good ? "" : "  MISSED");
  return good;
}

bool measure_round_trips(link::Client& client) {
  std::vector<double> ms;
  for (int i = 0; i < round_trips; ++i) {
    const Instant asked = client.now();
    if (!client.status()) return false;
    ms.push_back((client.now() - asked).in_milliseconds());
    // Not in step with the controller's tick.
    if (!client.run_until(client.now() + Duration::microseconds(100 + 37 * (i % 29)))) return false;
  }
  std::sort(ms.begin(), ms.end());
  std::printf("round trip of a status request, longest of %d       %8.2f ms\n", round_trips, ms.back());
  return within("round trip of a status request, median", ms[ms.size() / 2], "ms",
                ms[ms.size() / 2] <= wanted_round_trip_ms, "at most 1.50");
}

// What was measured or commanded: levels, counts, switches and readings; not the sample's clock, number and framing.
std::size_t measured_bytes(const link::Sample& sample) {
  return 2 * (sample.levels_permille.size() + sample.encoders.size() + 1 + sample.adc.size());
}

bool measure_stream(link::Client& client, CountingStream& line) {
  std::size_t samples = 0, payload = 0, lost = 0;
  client.on_sample = [&](const link::Sample& sample) {
    ++samples;
    lost += sample.lost_before;
    payload += measured_bytes(sample);
  };
  if (!client.stream_samples(sample_period)) return false;
  if (!client.run_until(client.now() + Duration::milliseconds(500))) return false;
  samples = payload = lost = 0;
  line.received = 0;
  if (!client.run_until(client.now() + streamed)) return false;
  const double share = static_cast<double>(payload) / static_cast<double>(line.received);
  const auto status = client.status();
  if (!status) return false;
  bool good =
      within("sample payload of all bytes on the line", share * 100, "%", share >= wanted_payload_share, "at least 75");
  good &= within("samples lost", static_cast<double>(lost), "", lost == 0, "0");
  good &= within("samples a second", static_cast<double>(samples) / streamed.in_seconds(), "", samples >= 9'990, "500");
  good &= within("agent's load while streaming", status->load * 100, "%", status->load <= wanted_load, "at most 60");
  return good;
}

}  // namespace

int main(int count, char** words) {
  if (count != 5) {
    std::fprintf(stderr, "usage: ringout_link_bench ROBOT.toml CATALOGUE FIRMWARE.elf EMULATOR\n");
    return 2;
  }
  reach::LinkSpec spec;
  spec.on = "emulated";
  spec.robot = words[1];
  spec.catalogue = {words[2]};
  spec.firmware = words[3];
  spec.emulator = words[4];
  spec.state_folder = "build/bench";
  auto opened = reach::open_link(spec);
  if (!opened) {
    std::fprintf(stderr, "%s\n", opened.error().message.c_str());
    return 2;
  }
  CountingStream line(*opened->stream);
  link::Client client(line, 1);
  if (auto hello = client.hello(); !hello) {
    std::fprintf(stderr, "%s\n", hello.error().message.c_str());
    return 2;
  }
  const bool trips = measure_round_trips(client);
  return measure_stream(client, line) && trips ? 0 : 1;
}
