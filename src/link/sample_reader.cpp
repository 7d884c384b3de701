#include "link/sample_reader.h"

namespace ringout::link {
namespace {

constexpr int more_than_half = 0x8000;

}  // namespace

void SampleReader::begin(std::uint16_t content, const Controller& controller) {
  content_ = content;
  bridges_ = controller.bridges;
  encoders_ = controller.encoders;
  adc_channels_ = controller.adc_channels;
  last_.reset();
  lost_ = 0;
  received_ = 0;
}

std::optional<Sample> SampleReader::read(const wire::Frame& frame, Instant arrived) {
  wire::Reader from(frame.payload, frame.size);
  wire::SampleHead head;
  wire::SampleHead::fields(from, head);
  Sample sample;
  sample.sequence = head.sequence;
  sample.arrived = arrived;
  if (content_ & wire::sample_levels) {
    sample.levels_permille.resize(static_cast<std::size_t>(bridges_));
    for (std::int16_t& level : sample.levels_permille) from.i16(level);
  }
  std::vector<std::uint16_t> low_counts;
  if (content_ & wire::sample_encoders) {
    low_counts.resize(static_cast<std::size_t>(encoders_));
    for (std::uint16_t& count : low_counts) from.u16(count);
  }
  if (content_ & wire::sample_switches) from.u16(sample.switches);
  if (content_ & wire::sample_adc) {
    sample.adc.resize(static_cast<std::size_t>(adc_channels_));
    for (std::uint16_t& raw : sample.adc) from.u16(raw);
  }
  if (content_ & wire::sample_state) {
    std::uint8_t state = 0;
    from.u8(state);
    sample.state = static_cast<wire::AgentState>(state);
  }
  if (!from.ok()) return std::nullopt;
  if (last_) {
    const auto ahead = static_cast<std::uint16_t>(sample.sequence - last_->sequence);
    if (ahead == 0 || ahead >= more_than_half) return std::nullopt;
    sample.lost_before = ahead - 1;
  }
  unwrap(sample, head.clock_us, low_counts);
  lost_ += static_cast<std::uint64_t>(sample.lost_before);
  ++received_;
  last_ = sample;
  return sample;
}

void SampleReader::unwrap(Sample& sample, std::uint32_t clock_us, const std::vector<std::uint16_t>& low_counts) {
  sample.clock_us = clock_us;
  if (last_) {
    sample.clock_us =
        last_->clock_us + static_cast<std::uint32_t>(clock_us - static_cast<std::uint32_t>(last_->clock_us));
  }
  sample.encoders.resize(low_counts.size());
  for (std::size_t i = 0; i < low_counts.size(); ++i) {
    const std::int32_t before = last_ ? last_->encoders[i] : 0;
    sample.encoders[i] = before + static_cast<std::int16_t>(
                                      low_counts[i] - static_cast<std::uint16_t>(static_cast<std::uint32_t>(before)));
  }
}

}  // namespace ringout::link
