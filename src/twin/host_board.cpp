#include "twin/host_board.h"

#include <algorithm>
#include <cmath>

#include "agent/quadrature.h"
#include "base/check.h"

namespace ringout::twin {
namespace {

// One byte of the ATmega2560's EEPROM, erase and write: 3.4 ms (from memory; the data sheet's typical time).
constexpr Duration eeprom_byte_time = Duration::microseconds(3400);
constexpr std::uint8_t chip_adc_channels = 8;

std::uint8_t count_of(const robot::Board& board, robot::PortKind kind, std::size_t most) {
  const std::size_t count = board.of_kind(kind).size();
  RINGOUT_CHECK(count <= most);
  return static_cast<std::uint8_t>(count);
}

}  // namespace

HostBoard::HostBoard(const robot::Board& board, plant::Plant& plant, std::vector<std::uint8_t> eeprom,
                     std::uint64_t seed)
    : plant_(plant), now_(plant.now()), eeprom_(std::move(eeprom)) {
  bridges_ = count_of(board, robot::PortKind::bridge, wire::max_bridges);
  encoders_ = count_of(board, robot::PortKind::encoder_input, wire::max_encoders);
  switches_ = count_of(board, robot::PortKind::switch_input, wire::max_switches);
  for (const robot::BoardPort* port : board.of_kind(robot::PortKind::switch_input)) {
    if (port->inverted) inverted_switches_ = static_cast<std::uint16_t>(inverted_switches_ | (1U << port->index));
  }
  const double codes = std::exp2(board.adc_bits);
  codes_per_volt_ = codes / board.logic.in(volts(1));
  highest_code_ = static_cast<std::uint16_t>(codes - 1.0);
  supply_adc_ = board.supply_adc;
  supply_mv_per_raw_ = static_cast<float>(1000.0 * board.supply_divider_ratio / codes_per_volt_);
  chance_ = static_cast<std::uint32_t>(seed ^ (seed >> 32)) * 0x9E3779B9U;
  byte_time_ = Duration::nanoseconds(10'000'000'000 / board.line_rate_baud);
  eeprom_.resize(agent::eeprom_min_bytes, 0xFF);
  start_chip();
}

void HostBoard::start_chip() {
  chip_started_ = now_;
  fed_at_ = now_;
  eeprom_free_at_ = now_;
  line_free_at_ = now_;
  chance_ = chance_ * 1664525U + 1013904223U;  // another power-up, other chance
  counts_.fill(0);
  for (std::uint8_t i = 0; i < encoders_; ++i) {
    encoder_state_[i] =
        static_cast<std::uint8_t>((plant_.encoder_level(i, false) ? 1 : 0) | (plant_.encoder_level(i, true) ? 2 : 0));
  }
  take_pins();
}

void HostBoard::release_pins() {
  for (std::uint8_t i = 0; i < bridges_; ++i) set_bridge(i, 0, agent::OffMode::coast);
  sent_.clear();
}

void HostBoard::take_pins() {
  for (const plant::Edge& edge : plant_.edges()) {
    const std::uint8_t bit = edge.channel_b ? 2 : 1;
    std::uint8_t& state = encoder_state_[edge.encoder];
    const auto next = static_cast<std::uint8_t>(edge.level ? state | bit : state & ~bit);
    const std::int8_t step = agent::quadrature_step(state, next);
    state = next;
    if (step != agent::quadrature_error) counts_[edge.encoder] += step;
  }
  std::uint16_t levels = 0;
  for (std::uint8_t i = 0; i < switches_; ++i) {
    if (plant_.switch_level(i)) levels = static_cast<std::uint16_t>(levels | (1U << i));
  }
  switch_levels_ = static_cast<std::uint16_t>(levels ^ inverted_switches_);
  converted_ = 0;
}

void HostBoard::set_bridge(std::uint8_t bridge, std::int16_t level, agent::OffMode off) {
  plant_.command(bridge, {.duty = level / 1000.0,
                          .when_off = off == agent::OffMode::brake ? robot::Off::brake : robot::Off::coast});
}

// A successive-approximation converter cuts off: code = floor(pin · 2^bits / reference), at most full scale.
std::uint16_t HostBoard::convert(std::uint8_t channel) {
  const auto bit = static_cast<std::uint16_t>(1U << channel);
  if ((converted_ & bit) == 0) {
    const double code = std::floor(plant_.adc_pin(channel).in(volts(1)) * codes_per_volt_);
    codes_[channel] = static_cast<std::uint16_t>(std::clamp(code, 0.0, static_cast<double>(highest_code_)));
    converted_ = static_cast<std::uint16_t>(converted_ | bit);
  }
  return codes_[channel];
}

bool HostBoard::write_eeprom(std::uint16_t at, std::uint8_t byte) {
  if (now_ < eeprom_free_at_) return false;
  eeprom_.at(at) = byte;
  eeprom_free_at_ = now_ + eeprom_byte_time;
  return true;
}

void HostBoard::transmit(const std::uint8_t* bytes, std::uint16_t count) {
  Instant at = std::max(now_, line_free_at_);
  for (std::uint16_t i = 0; i < count; ++i) {
    at = at + byte_time_;
    sent_.push_back({bytes[i], at});
  }
  line_free_at_ = at;
}

std::uint16_t HostBoard::room() {
  if (line_free_at_ <= now_) return agent::transmit_ring_bytes;
  const std::int64_t waiting = ((line_free_at_ - now_).ns + byte_time_.ns - 1) / byte_time_.ns;
  return waiting >= agent::transmit_ring_bytes ? std::uint16_t{0}
                                               : static_cast<std::uint16_t>(agent::transmit_ring_bytes - waiting);
}

void HostBoard::take_sent(Instant until, std::vector<TimedByte>& to) {
  while (!sent_.empty() && sent_.front().at <= until) {
    to.push_back(sent_.front());
    sent_.pop_front();
  }
}

agent::Board HostBoard::port() {
  agent::Board b = {};
  b.context = this;
  b.bridges = bridges_;
  b.encoders = encoders_;
  b.switches = switches_;
  b.adc_channels = chip_adc_channels;
  b.supply_adc = supply_adc_;
  b.supply_mv_per_raw = supply_mv_per_raw_;
  b.set_bridge = [](void* c, std::uint8_t bridge, std::int16_t level, agent::OffMode off) {
    self(c).set_bridge(bridge, level, off);
  };
  b.all_off = [](void* c, std::uint16_t brake_mask) {
    for (std::uint8_t i = 0; i < self(c).bridges_; ++i) {
      self(c).set_bridge(i, 0, ((brake_mask >> i) & 1) != 0 ? agent::OffMode::brake : agent::OffMode::coast);
    }
  };
  b.encoder_count = [](void* c, std::uint8_t i) { return self(c).counts_[i]; };
  b.switch_levels = [](void* c) { return self(c).switch_levels_; };
  b.adc_raw = [](void* c, std::uint8_t channel) { return self(c).convert(channel); };
  b.clock_us = [](void* c) { return static_cast<std::uint32_t>((self(c).now_ - self(c).chip_started_).ns / 1000); };
  b.eeprom_bytes = agent::eeprom_min_bytes;
  b.eeprom_ready = [](void* c) { return self(c).now_ >= self(c).eeprom_free_at_; };
  b.eeprom_read = [](void* c, std::uint16_t at, std::uint8_t* to, std::uint16_t count) {
    RINGOUT_CHECK(self(c).now_ >= self(c).eeprom_free_at_);  // the chip would stand still in the middle of a tick
    std::copy_n(self(c).eeprom_.begin() + at, count, to);
  };
  b.eeprom_write = [](void* c, std::uint16_t at, std::uint8_t byte) { return self(c).write_eeprom(at, byte); };
  b.feed_watchdog = [](void* c) { self(c).fed_at_ = self(c).now_; };
  // Nothing interrupts anything here: bytes, ticks and the program come one after the other.
  b.lock = [](void*) -> std::uint8_t { return 0; };
  b.unlock = [](void*, std::uint8_t) {};
  b.transmit_room = [](void* c) { return self(c).room(); };
  b.transmit = [](void* c, const std::uint8_t* bytes, std::uint16_t count) { self(c).transmit(bytes, count); };
  // What the twin has no likeness of: the chip's stack (never short) and its load (none).
  b.unused_stack = [](void*) -> std::uint16_t { return 0xFFFF; };
  b.load_permille = [](void*) -> std::uint16_t { return 0; };
  b.entropy = [](void* c) { return self(c).chance_; };
  return b;
}

}  // namespace ringout::twin
