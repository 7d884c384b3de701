#include "wire/frame.h"

#include <doctest/doctest.h>

#include <cstdint>
#include <random>
#include <vector>

#include "wire/messages.h"

using namespace ringout;
using Bytes = std::vector<std::uint8_t>;
using Event = wire::FrameDecoder::Event;

namespace {

Bytes framed(std::uint8_t type, std::uint8_t tag, const Bytes& payload) {
  wire::FrameBuilder builder;
  wire::Writer to = builder.begin(type, tag);
  to.raw(payload.data(), static_cast<std::uint16_t>(payload.size()));
  const std::uint16_t size = builder.close(to);
  return {builder.bytes(), builder.bytes() + size};
}

struct Heard {
  int frames = 0;
  int damaged = 0;
  Bytes payload;
};

Heard hear(wire::FrameDecoder& decoder, const Bytes& bytes) {
  Heard heard;
  for (const std::uint8_t b : bytes) {
    const Event event = decoder.push(b);
    heard.frames += event == Event::frame ? 1 : 0;
    heard.damaged += event == Event::damaged ? 1 : 0;
    if (event == Event::frame) {
      heard.payload.assign(decoder.frame().payload, decoder.frame().payload + decoder.frame().size);
    }
  }
  return heard;
}

}  // namespace

TEST_CASE("frames of every length and both checks come back; one byte more does not fit") {
  wire::FrameDecoder decoder;
  for (const std::uint8_t type : {std::uint8_t{0x12}, std::uint8_t{0xC0}, std::uint8_t{0xCF}, std::uint8_t{0xD0}}) {
    for (int length = 0; length <= wire::max_payload_bytes; ++length) {
      Bytes payload;
      for (int i = 0; i < length; ++i) payload.push_back(static_cast<std::uint8_t>(i % 5));
      const Heard heard = hear(decoder, framed(type, 7, payload));
      REQUIRE(heard.frames == 1);
      REQUIRE(heard.payload == payload);
      REQUIRE(decoder.frame().type == type);
      REQUIRE(decoder.frame().tag == 7);
    }
  }
  CHECK(framed(0x12, 1, Bytes(wire::max_payload_bytes + 1, 9)).empty());
}

TEST_CASE("a frame cut at any byte is damaged or unfinished, and the next one is heard") {
  const Bytes whole = framed(0x12, 3, {1, 0, 2, 0, 0, 3});
  for (std::size_t cut = 0; cut < whole.size(); ++cut) {
    CAPTURE(cut);
    wire::FrameDecoder decoder;
    Bytes bytes(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(cut));
    bytes.push_back(0);
    bytes.insert(bytes.end(), whole.begin(), whole.end());
    const Heard heard = hear(decoder, bytes);
    // Without its last byte, the closing zero, it is whole.
    CHECK(heard.frames == (cut + 1 == whole.size() ? 2 : 1));
    CHECK(heard.damaged == (cut == 0 || cut + 1 == whole.size() ? 0 : 1));
  }
}

TEST_CASE("any one bit flipped in a frame lets nothing through") {
  for (const std::uint8_t type : {std::uint8_t{0x12}, std::uint8_t{0xC0}}) {
    const Bytes whole = framed(type, 3, {1, 0, 2, 0, 0, 3, 0xFF, 0x80});
    for (std::size_t bit = 0; bit < whole.size() * 8; ++bit) {
      Bytes bytes = whole;
      bytes[bit / 8] = static_cast<std::uint8_t>(bytes[bit / 8] ^ (1U << (bit % 8)));
      bytes.push_back(0);
      wire::FrameDecoder decoder;
      CHECK(hear(decoder, bytes).frames == 0);
      CHECK(hear(decoder, whole).frames == 1);
    }
  }
}

TEST_CASE("zeros between frames, endless garbage and frames too long cost nothing but themselves") {
  wire::FrameDecoder decoder;
  CHECK(hear(decoder, Bytes(50, 0)).damaged == 0);
  Bytes garbage(5000, 0x77);
  garbage.push_back(0);
  const Heard heard = hear(decoder, garbage);
  CHECK(heard.frames == 0);
  CHECK(heard.damaged == 1);
  CHECK(hear(decoder, framed(0x02, 1, {})).frames == 1);
}

TEST_CASE("the stop frame is the constant that the matcher knows, and it is found after anything") {
  const Bytes stop = framed(wire::type_stop, 0, {});
  REQUIRE(stop.size() == wire::stop_frame_bytes);
  for (std::uint8_t i = 0; i < stop.size(); ++i) CHECK(stop[i] == wire::stop_frame_byte(i));
  for (std::uint8_t i = 1; i < stop.size(); ++i) CHECK_MESSAGE(stop[i] != stop[0], "the first byte occurs only once");
  std::mt19937 chance(3);
  for (int round = 0; round < 20000; ++round) {
    wire::StopMatcher matcher;
    const std::size_t before = chance() % 20;
    bool early = false;
    // Garbage made mostly of the stop frame's own bytes.
    for (std::size_t i = 0; i < before; ++i) early |= matcher.push(stop[chance() % (stop.size() - 1)]);
    REQUIRE_FALSE(early);
    bool found = false;
    for (const std::uint8_t b : stop) found = matcher.push(b);
    REQUIRE(found);
  }
}

TEST_CASE("no ordinary frame holds the stop frame's bytes") {
  // A frame's only zero is its last byte, so that only its tail could match: type and tag stand at its head.
  std::mt19937 chance(4);
  for (int round = 0; round < 20000; ++round) {
    Bytes payload(chance() % 40);
    for (auto& b : payload)
      b = static_cast<std::uint8_t>(chance() % 4 == 0 ? wire::stop_frame_byte(static_cast<std::uint8_t>(chance() % 8))
                                                      : chance());
    wire::StopMatcher matcher;
    for (const std::uint8_t b : framed(wire::type_drive, static_cast<std::uint8_t>(chance()), payload)) {
      REQUIRE_FALSE(matcher.push(b));
    }
  }
}
