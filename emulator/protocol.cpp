// SPDX-License-Identifier: Apache-2.0
#include "emulator/protocol.h"

#include <algorithm>
#include <bit>

#include "base/check.h"

namespace ringout::emulator {
namespace {

template <class Number>
void append(std::vector<std::uint8_t>& bytes, Number v) {
  for (std::size_t i = 0; i < sizeof v; ++i) bytes.push_back(static_cast<std::uint8_t>(v >> (8 * i)));
}

}  // namespace

MessageWriter& MessageWriter::u8(std::uint8_t v) {
  bytes_.push_back(v);
  return *this;
}
MessageWriter& MessageWriter::u16(std::uint16_t v) {
  append(bytes_, v);
  return *this;
}
MessageWriter& MessageWriter::u32(std::uint32_t v) {
  append(bytes_, v);
  return *this;
}
MessageWriter& MessageWriter::i64(std::int64_t v) {
  append(bytes_, static_cast<std::uint64_t>(v));
  return *this;
}
MessageWriter& MessageWriter::f64(double v) {
  return i64(std::bit_cast<std::int64_t>(v));
}

MessageWriter& MessageWriter::text(std::string_view v) {
  v = v.substr(0, 0xFFFF);
  u16(static_cast<std::uint16_t>(v.size()));
  bytes_.insert(bytes_.end(), v.begin(), v.end());
  return *this;
}

MessageWriter& MessageWriter::bytes(std::span<const std::uint8_t> v) {
  u32(static_cast<std::uint32_t>(v.size()));
  bytes_.insert(bytes_.end(), v.begin(), v.end());
  return *this;
}

std::vector<std::uint8_t> MessageWriter::finish() {
  const std::size_t body = bytes_.size() - length_bytes;
  RINGOUT_CHECK(body <= longest_message);
  for (std::size_t i = 0; i < length_bytes; ++i) bytes_[i] = static_cast<std::uint8_t>(body >> (8 * i));
  return std::move(bytes_);
}

std::span<const std::uint8_t> MessageReader::take(std::size_t size) {
  if (size > left_.size()) {
    whole_ = false;
    left_ = {};
    return {};
  }
  const auto taken = left_.first(size);
  left_ = left_.subspan(size);
  return taken;
}

std::uint64_t MessageReader::number(std::size_t size) {
  std::uint64_t value = 0;
  const auto taken = take(size);
  for (std::size_t i = 0; i < taken.size(); ++i) value |= static_cast<std::uint64_t>(taken[i]) << (8 * i);
  return value;
}

std::uint8_t MessageReader::u8() {
  return static_cast<std::uint8_t>(number(1));
}
std::uint16_t MessageReader::u16() {
  return static_cast<std::uint16_t>(number(2));
}
std::uint32_t MessageReader::u32() {
  return static_cast<std::uint32_t>(number(4));
}
std::int64_t MessageReader::i64() {
  return static_cast<std::int64_t>(number(8));
}
double MessageReader::f64() {
  return std::bit_cast<double>(number(8));
}

std::string MessageReader::text() {
  const auto taken = take(u16());
  return {taken.begin(), taken.end()};
}

std::vector<std::uint8_t> MessageReader::bytes() {
  const auto taken = take(u32());
  return {taken.begin(), taken.end()};
}

Result<std::optional<std::vector<std::uint8_t>>> MessageSplitter::next() {
  if (waiting_.size() < length_bytes) return std::nullopt;
  MessageReader front(waiting_);
  const std::size_t length = front.u32();
  if (length == 0 || length > longest_message) {
    return failure(ErrorKind::bad_input, "emulator.damaged-message",
                   "a message says that it is " + std::to_string(length) + " bytes long; 1 to " +
                       std::to_string(longest_message) + " can be",
                   "this program is spoken to by ringout, see PROTOCOL.md; --pty puts it behind a pseudo-terminal");
  }
  if (waiting_.size() < length_bytes + length) return std::nullopt;
  const auto start = waiting_.begin() + length_bytes;
  const auto end = start + static_cast<std::ptrdiff_t>(length);
  std::vector<std::uint8_t> body(start, end);
  waiting_.erase(waiting_.begin(), end);
  return body;
}

std::vector<std::uint8_t> refusal_of(const Error& error) {
  return MessageWriter(refusal)
      .u8(static_cast<std::uint8_t>(error.kind))
      .text(error.id)
      .text(error.message)
      .text(error.hint)
      .finish();
}

Error read_refusal(MessageReader& body) {
  Error error;
  error.kind =
      static_cast<ErrorKind>(std::min<std::uint8_t>(body.u8(), static_cast<std::uint8_t>(ErrorKind::interrupted)));
  error.id = body.text();
  error.message = body.text();
  error.hint = body.text();
  return error;
}

void write_seen(MessageWriter& message, const std::vector<plant::Seen>& seen) {
  message.u16(static_cast<std::uint16_t>(seen.size()));
  for (const plant::Seen& one : seen) {
    message.text(one.point).u8(static_cast<std::uint8_t>(one.direction + 1)).f64(one.amount);
  }
}

std::vector<plant::Seen> read_seen(MessageReader& body) {
  std::vector<plant::Seen> seen;
  for (unsigned left = body.u16(); left > 0; --left) {
    plant::Seen one;
    one.point = body.text();
    one.direction = body.u8() - 1;
    one.amount = body.f64();
    if (!body.whole()) return {};
    seen.push_back(std::move(one));
  }
  return seen;
}

void write_truth(MessageWriter& message, const plant::Truth& truth) {
  message.u16(static_cast<std::uint16_t>(truth.motors.size()));
  for (const plant::MotorTruth& motor : truth.motors) {
    const int at_stops = (motor.at_low_stop ? 1 : 0) | (motor.at_high_stop ? 2 : 0);
    message.text(motor.point).f64(motor.position).f64(motor.speed).f64(motor.current);
    message.u8(static_cast<std::uint8_t>(at_stops)).u32(static_cast<std::uint32_t>(motor.hard_stop_hits));
  }
  message.f64(truth.battery_volts).f64(truth.battery_amperes);
  message.f64(truth.energy_in).f64(truth.energy_lost).f64(truth.energy_stored);
  message.u16(static_cast<std::uint16_t>(truth.tripped.size()));
  for (const std::string& protection : truth.tripped) message.text(protection);
}

plant::Truth read_truth(MessageReader& body) {
  plant::Truth truth;
  for (unsigned left = body.u16(); left > 0 && body.whole(); --left) {
    plant::MotorTruth& motor = truth.motors.emplace_back();
    motor.point = body.text();
    motor.position = body.f64();
    motor.speed = body.f64();
    motor.current = body.f64();
    const std::uint8_t at_stops = body.u8();
    motor.at_low_stop = (at_stops & 1) != 0;
    motor.at_high_stop = (at_stops & 2) != 0;
    motor.hard_stop_hits = static_cast<int>(body.u32());
  }
  truth.battery_volts = body.f64();
  truth.battery_amperes = body.f64();
  truth.energy_in = body.f64();
  truth.energy_lost = body.f64();
  truth.energy_stored = body.f64();
  for (unsigned left = body.u16(); left > 0 && body.whole(); --left) truth.tripped.push_back(body.text());
  return truth;
}

}  // namespace ringout::emulator
