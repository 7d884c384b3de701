// Samples out of sample frames: clock and counts unwrapped, losses counted.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/instant.h"
#include "link/controller.h"
#include "wire/messages.h"

namespace ringout::link {

struct Sample {
  std::uint16_t sequence = 0;
  std::int64_t clock_us = 0;  // the agent's clock, unwrapped since the stream began
  Instant arrived;
  std::vector<std::int16_t> levels_permille;
  std::vector<std::int32_t> encoders;  // counts, unwrapped since the stream began
  std::uint16_t switches = 0;
  std::vector<std::uint16_t> adc;
  wire::AgentState state = wire::AgentState::inhibited;
  int lost_before = 0;  // samples that the line lost just before this one
};

class SampleReader {
 public:
  // A new stream: content bits, and the controller's counts of ports.
  void begin(std::uint16_t content, const Controller& controller);
  // Empty where the frame is too short for the content, or older than the last sample.
  [[nodiscard]] std::optional<Sample> read(const wire::Frame& frame, Instant arrived);
  [[nodiscard]] std::uint64_t lost() const { return lost_; }
  [[nodiscard]] std::uint64_t received() const { return received_; }

 private:
  void unwrap(Sample& sample, std::uint32_t clock_us, const std::vector<std::uint16_t>& low_counts);

  std::uint16_t content_ = 0;
  int bridges_ = 0;
  int encoders_ = 0;
  int adc_channels_ = 0;
  std::optional<Sample> last_;
  std::uint64_t lost_ = 0;
  std::uint64_t received_ = 0;
};

}  // namespace ringout::link
