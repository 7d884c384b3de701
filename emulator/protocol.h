// SPDX-License-Identifier: Apache-2.0
// What the emulated controller's process and its user say to each other (PROTOCOL.md). This header and its .cpp are the
// one part of this folder under the project's own licence, because both sides use them.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/instant.h"
#include "base/result.h"
#include "plant/plant.h"

namespace ringout::emulator {

constexpr std::uint32_t protocol_magic = 0x31474952;  // "RIG1" as bytes
constexpr std::uint16_t protocol_version = 1;
constexpr std::size_t length_bytes = 4;
constexpr std::size_t longest_message = 1u << 20;

enum class Kind : std::uint8_t {
  hello = 0x01,
  write = 0x02,
  run = 0x03,
  work_by_hand = 0x04,
  open_disconnect = 0x05,
  look = 0x06,
  truth = 0x07,
  reset = 0x08,
  cut_power = 0x09,
  save_eeprom = 0x0A,
  counters = 0x0B,
  reset_breaker = 0x0C,
};
constexpr std::uint8_t reply_bit = 0x80;
constexpr std::uint8_t refusal = 0xFF;

class MessageWriter {
 public:
  explicit MessageWriter(std::uint8_t kind) : bytes_(length_bytes) { bytes_.push_back(kind); }
  explicit MessageWriter(Kind kind) : MessageWriter(static_cast<std::uint8_t>(kind)) {}

  MessageWriter& u8(std::uint8_t v);
  MessageWriter& u16(std::uint16_t v);
  MessageWriter& u32(std::uint32_t v);
  MessageWriter& i64(std::int64_t v);
  MessageWriter& f64(double v);
  MessageWriter& text(std::string_view v);                // u16 length, UTF-8
  MessageWriter& bytes(std::span<const std::uint8_t> v);  // u32 length, bytes
  [[nodiscard]] std::vector<std::uint8_t> finish();       // with its length in front

 private:
  std::vector<std::uint8_t> bytes_;
};

// Reads a message's body (kind first). Reading beyond its end gives zeros and is remembered; bytes left over are fine,
// because a newer sender may say more.
class MessageReader {
 public:
  explicit MessageReader(std::span<const std::uint8_t> body) : left_(body) {}

  [[nodiscard]] std::uint8_t u8();
  [[nodiscard]] std::uint16_t u16();
  [[nodiscard]] std::uint32_t u32();
  [[nodiscard]] std::int64_t i64();
  [[nodiscard]] double f64();
  [[nodiscard]] std::string text();
  [[nodiscard]] std::vector<std::uint8_t> bytes();
  [[nodiscard]] bool whole() const { return whole_; }

 private:
  [[nodiscard]] std::uint64_t number(std::size_t size);
  [[nodiscard]] std::span<const std::uint8_t> take(std::size_t size);
  std::span<const std::uint8_t> left_;
  bool whole_ = true;
};

// A stream of bytes cut into message bodies.
class MessageSplitter {
 public:
  void add(std::span<const std::uint8_t> bytes) { waiting_.insert(waiting_.end(), bytes.begin(), bytes.end()); }
  // The next whole message's body, nothing while it is not whole, or emulator.damaged-message where the length cannot
  // be right: nothing after it can be trusted.
  [[nodiscard]] Result<std::optional<std::vector<std::uint8_t>>> next();

 private:
  std::vector<std::uint8_t> waiting_;
};

[[nodiscard]] std::vector<std::uint8_t> refusal_of(const Error& error);
[[nodiscard]] Error read_refusal(MessageReader& body);  // after the kind

void write_seen(MessageWriter& message, const std::vector<plant::Seen>& seen);
[[nodiscard]] std::vector<plant::Seen> read_seen(MessageReader& body);
void write_truth(MessageWriter& message, const plant::Truth& truth);
[[nodiscard]] plant::Truth read_truth(MessageReader& body);

}  // namespace ringout::emulator
