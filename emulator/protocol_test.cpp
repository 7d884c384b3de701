// SPDX-License-Identifier: Apache-2.0
#include "emulator/protocol.h"

#include <doctest/doctest.h>

#include <random>

using namespace ringout;
using namespace ringout::emulator;

namespace {

using Bytes = std::vector<std::uint8_t>;

MessageReader body_of(const Bytes& message) {
  MessageReader reader(std::span<const std::uint8_t>(message).subspan(length_bytes));
  (void)reader.u8();
  return reader;
}

}  // namespace

TEST_CASE("a message is its length, its kind and packed little-endian fields") {
  const Bytes run = MessageWriter(Kind::run).i64(0x0102030405060708).finish();
  CHECK(run == Bytes{9, 0, 0, 0, 0x03, 8, 7, 6, 5, 4, 3, 2, 1});
  const Bytes hand = MessageWriter(Kind::work_by_hand).u8(1).text("lift").finish();
  CHECK(hand == Bytes{8, 0, 0, 0, 0x04, 1, 4, 0, 'l', 'i', 'f', 't'});
  const Bytes write = MessageWriter(Kind::write).bytes(Bytes{0xAA, 0x00}).finish();
  CHECK(write == Bytes{7, 0, 0, 0, 0x02, 2, 0, 0, 0, 0xAA, 0x00});
  CHECK(MessageWriter(Kind::hello).u32(protocol_magic).u16(1).finish() ==
        Bytes{7, 0, 0, 0, 0x01, 'R', 'I', 'G', '1', 1, 0});
}

TEST_CASE("what is written is read back, and one byte less is noticed") {
  const Bytes message = MessageWriter(Kind::run)
                            .u8(7)
                            .u16(0x1234)
                            .u32(0xDEADBEEF)
                            .i64(-5)
                            .f64(-0.1)
                            .text("ä")
                            .bytes(Bytes{1, 2})
                            .finish();
  const auto read_all = [](MessageReader r) {
    const bool right = r.u8() == 7 && r.u16() == 0x1234 && r.u32() == 0xDEADBEEF && r.i64() == -5 && r.f64() == -0.1 &&
                       r.text() == "ä" && r.bytes() == Bytes{1, 2};
    return std::pair(right, r.whole());
  };
  CHECK(read_all(body_of(message)) == std::pair(true, true));
  for (std::size_t cut = 1; cut + length_bytes < message.size(); ++cut) {
    const Bytes shorter(message.begin(), message.end() - static_cast<std::ptrdiff_t>(cut));
    CHECK_FALSE(read_all(body_of(shorter)).second);
  }
}

TEST_CASE("a stream is cut into messages wherever its pieces end") {
  Bytes stream = MessageWriter(Kind::look).finish();
  const Bytes second = MessageWriter(Kind::work_by_hand).u8(0).text("x").finish();
  stream.insert(stream.end(), second.begin(), second.end());
  for (std::size_t piece = 1; piece <= stream.size(); ++piece) {
    MessageSplitter splitter;
    std::vector<Bytes> bodies;
    for (std::size_t at = 0; at < stream.size(); at += piece) {
      splitter.add(std::span(stream).subspan(at, std::min(piece, stream.size() - at)));
      for (auto next = splitter.next(); next && *next; next = splitter.next()) bodies.push_back(**next);
    }
    REQUIRE(bodies.size() == 2);
    CHECK(bodies[0] == Bytes{0x06});
    CHECK(bodies[1].size() == second.size() - length_bytes);
  }
}

TEST_CASE("a length that cannot be right is refused") {
  for (const Bytes& length :
       {Bytes{0, 0, 0, 0}, Bytes{1, 0, 16, 0}, Bytes{0xFF, 0xFF, 0xFF, 0xFF}, Bytes{'h', 'e', 'l', 'p'}}) {
    MessageSplitter splitter;
    splitter.add(length);
    const auto next = splitter.next();
    REQUIRE_FALSE(next.has_value());
    CHECK(next.error().id == "emulator.damaged-message");
  }
}

TEST_CASE("refusals, what was seen and the truth travel whole") {
  const Bytes no = refusal_of({ErrorKind::refused, "a.b", "because", "do"});
  MessageReader refusal_body = body_of(no);
  const Error error = read_refusal(refusal_body);
  CHECK(error.kind == ErrorKind::refused);
  CHECK(error.id == "a.b");
  CHECK(error.hint == "do");

  MessageWriter seen_message(Kind::look);
  write_seen(seen_message, {{"lift", -1, 0.5}, {"lamp", 0, 2}, {"belt", 1, 3}});
  const Bytes seen_bytes = seen_message.finish();
  MessageReader seen_body = body_of(seen_bytes);
  const auto seen = read_seen(seen_body);
  REQUIRE(seen.size() == 3);
  CHECK(seen[0].direction == -1);
  CHECK(seen[1].direction == 0);
  CHECK(seen[2].amount == 3);

  plant::Truth truth;
  truth.motors = {{"lift", 0.1, -0.2, 3.5, false, true, 4}};
  truth.battery_volts = 12.5;
  truth.energy_lost = 7;
  truth.tripped = {"fuse"};
  MessageWriter truth_message(Kind::truth);
  write_truth(truth_message, truth);
  const Bytes truth_bytes = truth_message.finish();
  MessageReader truth_body = body_of(truth_bytes);
  const plant::Truth back = read_truth(truth_body);
  CHECK(truth_body.whole());
  REQUIRE(back.motors.size() == 1);
  CHECK(back.motors[0].point == "lift");
  CHECK(back.motors[0].current == 3.5);
  CHECK(back.motors[0].at_high_stop);
  CHECK_FALSE(back.motors[0].at_low_stop);
  CHECK(back.motors[0].hard_stop_hits == 4);
  CHECK(back.battery_volts == 12.5);
  CHECK(back.energy_lost == 7);
  CHECK(back.tripped == std::vector<std::string>{"fuse"});
}

TEST_CASE("no bytes whatever make the readers read outside of their message") {
  std::mt19937 chance(7);
  for (int i = 0; i < 20000; ++i) {
    Bytes noise(chance() % 64);
    for (auto& byte : noise) byte = static_cast<std::uint8_t>(chance() % 4 == 0 ? chance() : chance() % 8);
    MessageReader seen(noise), truth(noise), no(noise);
    CHECK(read_seen(seen).size() <= noise.size());
    (void)read_truth(truth);
    (void)read_refusal(no);
  }
}
