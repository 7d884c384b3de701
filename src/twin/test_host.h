// The host's end of the twin's line, as little as its tests need; never a second link.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "robot/robot.h"
#include "twin/twin.h"
#include "wire/messages.h"
#include "wire/point_table.h"
#include "wire/testing.h"

namespace ringout::twin {

class TestHost {
 public:
  explicit TestHost(Twin& twin) : twin_(twin) {}

  struct Frame {
    std::uint8_t type = 0;
    std::vector<std::uint8_t> payload;
    Instant at;
  };

  // Sends a request and runs until its reply, at most 100 ms.
  template <class Answer = wire::PermitReply, class Record>
  Answer ask(const Record& record) {
    send(Record::type, record);
    const Instant deadline = twin_.now() + Duration::milliseconds(100);
    while (twin_.now() < deadline) {
      listen(deadline, Twin::Until::first_bytes);
      for (std::size_t i = 0; i < heard.size(); ++i) {
        if (heard[i].type != wire::reply_type(Record::type)) continue;
        const Frame frame = heard[i];
        heard.erase(heard.begin() + static_cast<std::ptrdiff_t>(i));
        Answer answer;
        const auto size = static_cast<std::uint16_t>(frame.payload.size());
        wire::decode(frame.payload.data(), size, answer.header);
        wire::decode(frame.payload.data(), size, answer);
        return answer;
      }
    }
    Answer none;
    none.header.status = wire::Status::unknown_type;
    return none;
  }
  template <class Record>
  void send(std::uint8_t type, const Record& record) {
    wire::FrameBuilder builder;
    const std::uint16_t size = wire::build(builder, type, ++tag_, record);
    twin_.write({builder.bytes(), size});
  }
  // Runs and keeps whole frames in `heard`.
  void listen(Instant deadline, Twin::Until until = Twin::Until::deadline) {
    for (const TimedByte& b : twin_.run_until(deadline, until)) {
      in_frame_ = b.byte != 0;
      if (decoder_.push(b.byte) != wire::FrameDecoder::Event::frame) continue;
      const wire::Frame f = decoder_.frame();
      heard.push_back({f.type, {f.payload, f.payload + f.size}, b.at});
    }
  }
  [[nodiscard]] bool in_frame() const { return in_frame_; }  // the last byte heard was not a frame's end
  void run(int ms) { listen(twin_.now() + Duration::milliseconds(ms)); }
  // Runs with a hold every 10 ms.
  void run_held(int ms) {
    for (int i = 0; i < ms; i += wire::hold_period_ms) {
      wire::Hold hold;
      hold.motion = next_header();
      send(wire::type_hold, hold);
      run(wire::hold_period_ms);
    }
  }

  wire::Status permit() {
    wire::Permit request;
    request.nonce = ++nonce_;
    const auto reply = ask<wire::PermitReply>(request);
    token_ = reply.token;
    sequence_ = 0;
    agent_clock_us_ = reply.header.clock_us;
    heard_at_ = twin_.now();
    return reply.header.status;
  }
  wire::MotionHeader next_header() {
    wire::MotionHeader h;
    h.token = token_;
    h.sequence = ++sequence_;
    h.not_after_us = agent_clock_us_ + static_cast<std::uint32_t>((twin_.now() - heard_at_).ns / 1000) + 50000;
    return h;
  }
  wire::Status drive(std::uint8_t port, std::int16_t level) {
    wire::Drive request;
    request.motion = next_header();
    request.port = port;
    request.level_permille = level;
    return ask(request).header.status;
  }
  wire::Status load(const std::vector<std::uint8_t>& table) {
    return wire::testing::load_table(table, [this](const auto& request) { return ask(request).header.status; });
  }

  std::vector<Frame> heard;

 private:
  Twin& twin_;
  wire::FrameDecoder decoder_;
  bool in_frame_ = false;
  std::uint8_t tag_ = 0;
  std::uint32_t nonce_ = 0;
  std::uint32_t token_ = 0;
  std::uint32_t sequence_ = 0;
  std::uint32_t agent_clock_us_ = 0;
  Instant heard_at_;
};

// A table for `firmware` on the demonstration's board: every output of its names proved, without travel bounds; `ports`
// has a port for each name.
inline std::vector<std::uint8_t> plain_table(const TwinFirmware& firmware, const std::vector<std::uint8_t>& ports) {
  wire::TableHeader header;
  header.program_fp = firmware.program_fp;
  header.board_fp = firmware.board_fp;
  header.unproved_level_permille = 200;
  header.unproved_duration_ms = 300;
  header.unproved_slope_permille_per_ms = 10;
  header.supply_low_mv = 8500;
  header.supply_adc = 0;
  header.supply_mv_per_raw = 4 * 5000.0F / 1024;
  std::vector<wire::TableEntry> entries;
  for (std::size_t i = 0; i < firmware.names.size(); ++i) {
    wire::TableEntry e;
    e.kind = static_cast<std::uint8_t>(firmware.names[i].kind);
    e.port = ports[i];
    e.flags = firmware.names[i].kind == wire::PointKind::switch_input ? wire::entry_acts_low : wire::entry_proved;
    e.max_level_permille = 1000;
    e.slope_permille_per_ms = 20;
    entries.push_back(e);
  }
  std::vector<std::uint8_t> bytes(wire::table_bytes(static_cast<std::uint8_t>(entries.size())));
  wire::encode_table(header, entries.data(), static_cast<std::uint8_t>(entries.size()), bytes.data());
  return bytes;
}

}  // namespace ringout::twin
