// A fake controller behind a MemoryStream, for tests of the client alone: it answers every request at once and well,
// unless a test says otherwise for a type. The real agent is tested with the client in tests/device.
#pragma once

#include <functional>
#include <map>
#include <vector>

#include "link/memory_stream.h"
#include "wire/messages.h"

namespace ringout::link {

class ScriptedAgent {
 public:
  struct Request {
    std::uint8_t type;
    std::uint8_t tag;
    std::vector<std::uint8_t> payload;
    Instant at;

    template <class Record>
    [[nodiscard]] Record as() const {
      Record record;
      static_cast<void>(wire::decode(payload.data(), static_cast<std::uint16_t>(payload.size()), record));
      return record;
    }
  };
  enum class Then { answer, stay_silent };

  MemoryStream line;
  std::vector<Request> requests;
  wire::HelloReply hello;
  wire::StatusReply status;
  wire::BumpEndedEvent last_bump;
  Duration latency = Duration::microseconds(300);
  wire::Status refuse_motion = wire::Status::ok;
  // Called before the usual answer to a request of this type.
  std::map<std::uint8_t, std::function<Then(const Request&)>> on;

  ScriptedAgent() {
    hello.bridges = 8;
    hello.encoders = 6;
    hello.switches = 8;
    hello.adc_channels = 8;
    hello.window = 240;
    line.peer = [this](std::span<const std::uint8_t> bytes) {
      for (const std::uint8_t byte : bytes) {
        if (decoder_.push(byte) == wire::FrameDecoder::Event::frame) take(decoder_.frame());
      }
    };
  }

  [[nodiscard]] std::uint32_t clock_us() const { return static_cast<std::uint32_t>(line.now().ns / 1000 + 123'456); }

  template <class Record>
  void send(std::uint8_t type, std::uint8_t tag, const Record& record, Duration later) {
    wire::FrameBuilder builder;
    const std::uint16_t size = wire::build(builder, type, tag, record);
    line.arrive({builder.bytes(), builder.bytes() + size}, later);
  }

  [[nodiscard]] int count(std::uint8_t type) const {
    int n = 0;
    for (const Request& request : requests) n += request.type == type ? 1 : 0;
    return n;
  }

 private:
  void take(const wire::Frame& frame) {
    requests.push_back({frame.type, frame.tag, {frame.payload, frame.payload + frame.size}, line.now()});
    const Request request = requests.back();
    if (const auto special = on.find(frame.type); special != on.end()) {
      if (special->second(request) == Then::stay_silent) return;
    }
    answer(request);
  }

  void answer(const Request& request) {
    const auto type = static_cast<std::uint8_t>(request.type | 0x80U);
    const wire::ReplyHeader header{.clock_us = clock_us()};
    switch (request.type) {
      case wire::type_hello: {
        wire::HelloReply reply = hello;
        reply.header = header;
        reply.nonce = request.as<wire::Hello>().nonce;
        send(type, request.tag, reply, latency);
        break;
      }
      case wire::type_status: {
        wire::StatusReply reply = status;
        reply.header = header;
        send(type, request.tag, reply, latency);
        break;
      }
      case wire::type_last_bump: {
        wire::LastBumpReply reply;
        reply.header = header;
        reply.bump = last_bump;
        send(type, request.tag, reply, latency);
        break;
      }
      case wire::type_permit: {
        wire::PermitReply reply;
        reply.header = header;
        reply.token = ++token_;
        send(type, request.tag, reply, latency);
        break;
      }
      case wire::type_stop:
        break;
      default: {
        wire::ReplyHeader reply = header;
        if (request.type > wire::type_permit && request.type <= wire::type_program_start) reply.status = refuse_motion;
        send(type, request.tag, reply, latency);
      }
    }
  }

  wire::FrameDecoder decoder_;
  std::uint32_t token_ = 1000;
};

}  // namespace ringout::link
