// SPDX-License-Identifier: GPL-3.0-or-later
// The shipping firmware on the emulated chip, spoken to in frames: that the two fit, not what the agent's rules are.
#include <doctest/doctest.h>

#include <algorithm>
#include <optional>
#include <vector>

#include "emulator/rig.h"
#include "robot/fingerprint.h"
#include "robot/testing.h"
#include "wire/frame.h"
#include "wire/messages.h"

using namespace ringout;
using namespace ringout::emulator;

namespace {

const robot::Robot& tray_carrier() {
  static const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return robot;
}

std::unique_ptr<Rig> rig_with_firmware() {
  auto chip = Chip::load(RINGOUT_FIRMWARE_ELF);
  REQUIRE_MESSAGE(chip.has_value(), (chip ? "" : chip.error().message));
  auto rig = std::make_unique<Rig>(tray_carrier(), plant::Deviations{}, wiring_of(tray_carrier().board).value(),
                                   std::move(*chip));
  while (rig->now() < Instant{Duration::milliseconds(50).ns}) {
    (void)rig->wait_until(Instant{Duration::milliseconds(50).ns});
  }
  return rig;
}

// Sends the request and waits at most 50 ms for its reply.
template <class Reply, class Request>
std::optional<Reply> ask(Rig& rig, const Request& request, std::uint8_t tag) {
  wire::FrameBuilder frame;
  wire::Writer payload = frame.begin(Request::type, tag);
  wire::encode(payload, request);
  const std::uint16_t size = frame.close(payload);
  REQUIRE(rig.write({frame.bytes(), size}).has_value());
  wire::FrameDecoder decoder;
  const Instant give_up = rig.now() + Duration::milliseconds(50);
  while (rig.now() < give_up) {
    const auto event = rig.wait_until(give_up);
    const auto* arrived = std::get_if<link::Arrived>(&event);
    if (arrived == nullptr) continue;
    for (const std::uint8_t byte : arrived->bytes) {
      if (decoder.push(byte) != wire::FrameDecoder::Event::frame) continue;
      const wire::Frame got = decoder.frame();
      Reply reply;
      if (got.type == (Request::type | 0x80) && got.tag == tag && wire::decode(got.payload, got.size, reply)) {
        return reply;
      }
    }
  }
  return std::nullopt;
}

}  // namespace

TEST_CASE("the firmware says hello with the board's ports and the program's names") {
  auto rig = rig_with_firmware();
  wire::Hello hello;
  hello.nonce = 0x12345678;
  const auto reply = ask<wire::HelloReply>(*rig, hello, 1);
  REQUIRE(reply.has_value());
  CHECK(reply->nonce == 0x12345678);
  CHECK(reply->bridges == 8);
  CHECK(reply->encoders == 6);
  CHECK(reply->switches == 8);
  CHECK(reply->points == tray_carrier().outputs.size() + tray_carrier().inputs.size());
  CHECK(reply->program_fp == robot::program_fingerprint(tray_carrier()));
  CHECK(reply->reset_cause == static_cast<std::uint8_t>(wire::ResetCause::power_on));
}

TEST_CASE("the firmware measures the supply that the plant has") {
  auto rig = rig_with_firmware();
  REQUIRE(ask<wire::HelloReply>(*rig, wire::Hello{}, 1).has_value());
  const auto status = ask<wire::StatusReply>(*rig, wire::StatusRequest{}, 2);
  REQUIRE(status.has_value());
  CHECK(status->supply_mv / 1000.0 == doctest::Approx(rig->truth().battery_volts).epsilon(0.02));
  CHECK(status->lost_bytes == 0);
}

TEST_CASE("the firmware leaves a team's program two kilobytes of stack") {
  auto rig = rig_with_firmware();
  REQUIRE(ask<wire::HelloReply>(*rig, wire::Hello{}, 1).has_value());
  const Instant counted = rig->now() + Duration::milliseconds(500);  // a few bytes are looked at in each tick
  while (rig->now() < counted) (void)rig->wait_until(counted);
  const auto status = ask<wire::StatusReply>(*rig, wire::StatusRequest{}, 2);
  REQUIRE(status.has_value());
  MESSAGE("stack never used: " << status->unused_stack << " bytes");
  CHECK(status->unused_stack >= 2048);
  CHECK(status->unused_stack < 4096);  // a count, and not the whole memory's size
}

TEST_CASE("a reply is there within 1.5 ms of the controller's time at the median") {
  auto rig = rig_with_firmware();
  REQUIRE(ask<wire::HelloReply>(*rig, wire::Hello{}, 1).has_value());
  std::vector<double> took_ms;
  for (std::uint8_t tag = 2; tag < 202; ++tag) {
    (void)rig->wait_until(rig->now() + Duration::microseconds(100 + 37 * (tag % 27)));
    const Instant asked = rig->now();
    REQUIRE(ask<wire::StatusReply>(*rig, wire::StatusRequest{}, tag).has_value());
    took_ms.push_back((rig->now() - asked).in_milliseconds());
  }
  std::sort(took_ms.begin(), took_ms.end());
  MESSAGE("round trip of a status request: median " << took_ms[100] << " ms, longest " << took_ms.back() << " ms");
  CHECK(took_ms[100] <= 1.5);
  CHECK(rig->chip().counters().receive_overruns == 0);
}

TEST_CASE("a power cut is told to the host as such, and the identity stays") {
  auto rig = rig_with_firmware();
  const auto before = ask<wire::HelloReply>(*rig, wire::Hello{}, 1);
  REQUIRE(before.has_value());
  rig->cut_power(Duration::milliseconds(20));
  const Instant back = rig->now() + Duration::milliseconds(120);
  while (rig->now() < back) (void)rig->wait_until(back);
  const auto after = ask<wire::HelloReply>(*rig, wire::Hello{}, 2);
  REQUIRE(after.has_value());
  CHECK(after->reset_cause == static_cast<std::uint8_t>(wire::ResetCause::power_on));
  CHECK(std::equal(std::begin(before->identity), std::end(before->identity), std::begin(after->identity)));
}
