#include "wire/cobs.h"

#include <doctest/doctest.h>

#include <cstdint>
#include <random>
#include <vector>

using namespace ringout;
using Bytes = std::vector<std::uint8_t>;

namespace {

// Of any length, without the closing zero: what the frames' own encoder, which works in place, is held against.
Bytes encoded(const Bytes& in) {
  Bytes out = {1};
  std::size_t code_at = 0;
  for (std::size_t i = 0; i < in.size(); ++i) {
    if (in[i] != 0) {
      out.push_back(in[i]);
      ++out[code_at];
    }
    const bool full = out[code_at] == 0xFF && i + 1 < in.size();
    if (in[i] == 0 || full) {
      code_at = out.size();
      out.push_back(1);
    }
  }
  return out;
}

Bytes decoded(const Bytes& in, wire::CobsDecoder::Step& end) {
  wire::CobsDecoder decoder;
  Bytes out;
  std::uint8_t byte = 0;
  for (const std::uint8_t b : in) {
    if (decoder.push(b, byte) == wire::CobsDecoder::Step::byte) out.push_back(byte);
  }
  end = decoder.push(0, byte);
  return out;
}

struct Vector {
  const char* source;
  Bytes plain;
  Bytes coded;
};

}  // namespace

TEST_CASE("COBS gives the published vectors, and takes them back") {
  const Vector vectors[] = {
      // firechip/cobs-conformance vectors; docs.rs postcard and wire-codec; iceworks.cc (mark: read, recomputed)
      {"cobs-conformance, empty", {}, {0x01}},
      {"cobs-conformance", {0x00}, {0x01, 0x01}},
      {"cobs-conformance", {0x02}, {0x02, 0x02}},
      {"cobs-conformance", {0x11, 0x00, 0x22}, {0x02, 0x11, 0x02, 0x22}},
      {"cobs-conformance", {'1', '2', '3', '4', '5'}, {0x06, 0x31, 0x32, 0x33, 0x34, 0x35}},
      {"postcard", {0x01, 0x00, 0x20, 0x30}, {0x02, 0x01, 0x03, 0x20, 0x30}},
      {"wire-codec", {0x03, 0x48, 0x69, 0x21}, {0x05, 0x03, 0x48, 0x69, 0x21}},
      {"iceworks", {0xDE, 0xAD, 0xBE, 0xEF}, {0x05, 0xDE, 0xAD, 0xBE, 0xEF}},
      {"iceworks", {0xDE, 0xAD, 0x00, 0xBE, 0xEF}, {0x03, 0xDE, 0xAD, 0x03, 0xBE, 0xEF}},
      // The encyclopedia's rows (mark: memory, recomputed)
      {"memory", {0x11, 0x22, 0x00, 0x33}, {0x03, 0x11, 0x22, 0x02, 0x33}},
      {"memory", {0x11, 0x00, 0x00, 0x00}, {0x02, 0x11, 0x01, 0x01, 0x01}},
  };
  for (const Vector& v : vectors) {
    CAPTURE(v.source);
    CHECK(encoded(v.plain) == v.coded);
    wire::CobsDecoder::Step end = wire::CobsDecoder::Step::nothing;
    CHECK(decoded(v.coded, end) == v.plain);
    CHECK(end == wire::CobsDecoder::Step::end);
  }
}

// Source: wire-codec's documentation, "matches the reference encoder of Cheshire & Baker" (mark: read, recomputed).
TEST_CASE("a full block at the end is not followed by an empty one") {
  CHECK(encoded(Bytes(254, 0x55)).size() == 255);
  CHECK(encoded(Bytes(255, 0x55)).size() == 257);
}

TEST_CASE("every length and many patterns come back, without a zero on the way") {
  std::mt19937 chance(1);
  for (int length = 0; length < 600; ++length) {
    for (const unsigned zeros : {0U, 2U, 8U, 255U}) {
      Bytes plain(static_cast<std::size_t>(length));
      for (auto& b : plain)
        b = chance() % 256 < zeros ? std::uint8_t{0} : static_cast<std::uint8_t>(1 + chance() % 255);
      const Bytes coded = encoded(plain);
      for (const std::uint8_t b : coded) REQUIRE(b != 0);
      wire::CobsDecoder::Step end = wire::CobsDecoder::Step::nothing;
      REQUIRE(decoded(coded, end) == plain);
      REQUIRE(end == wire::CobsDecoder::Step::end);
    }
  }
}

TEST_CASE("encoding in place gives the same bytes") {
  std::mt19937 chance(2);
  for (int length = 0; length < 250; ++length) {
    Bytes plain(static_cast<std::size_t>(length));
    for (auto& b : plain) b = static_cast<std::uint8_t>(chance() % 3);
    Bytes frame(static_cast<std::size_t>(length) + 2);
    std::copy(plain.begin(), plain.end(), frame.begin() + 1);
    REQUIRE(wire::cobs_close_in_place(frame.data(), static_cast<std::uint16_t>(length)) == frame.size());
    Bytes expected = encoded(plain);
    expected.push_back(0);
    REQUIRE(frame == expected);
  }
}

TEST_CASE("a block that a zero cuts short is told") {
  wire::CobsDecoder::Step end = wire::CobsDecoder::Step::nothing;
  decoded({0x05, 0x11, 0x22}, end);
  CHECK(end == wire::CobsDecoder::Step::broken_end);
}
