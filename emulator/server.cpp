// SPDX-License-Identifier: GPL-3.0-or-later
#include "emulator/server.h"

namespace ringout::emulator {
namespace {

// No caller waits for longer in one go; a damaged message must not send the emulation off for years.
constexpr Duration longest_run = Duration::seconds(3600);

MessageWriter reply_to(Kind kind) {
  return MessageWriter(static_cast<std::uint8_t>(static_cast<std::uint8_t>(kind) | reply_bit));
}

tl::unexpected<Error> too_short() {
  return failure(ErrorKind::bad_input, "emulator.damaged-message", "a message is shorter than its kind needs");
}

tl::unexpected<Error> too_long() {
  return failure(ErrorKind::bad_input, "emulator.too-long", "a run or power cut of more than an hour was asked for");
}

}  // namespace

std::vector<std::uint8_t> Server::answer(std::span<const std::uint8_t> body) {
  MessageReader reader(body);
  const auto kind = static_cast<Kind>(reader.u8());
  if (!greeted_ && kind != Kind::hello) {
    return refusal_of({ErrorKind::bad_input, "emulator.no-hello", "the first message must be a hello", ""});
  }
  Result<MessageWriter> reply = too_short();
  switch (kind) {
    case Kind::hello:
    case Kind::write:
    case Kind::run:
      reply = answer_link(kind, reader);
      break;
    case Kind::work_by_hand:
    case Kind::open_disconnect:
    case Kind::reset_breaker:
    case Kind::look:
      reply = answer_person(kind, reader);
      break;
    case Kind::truth:
    case Kind::reset:
    case Kind::cut_power:
    case Kind::save_eeprom:
    case Kind::counters:
      reply = answer_bench(kind, reader);
      break;
    default:
      reply = failure(ErrorKind::bad_input, "emulator.unknown-message",
                      "there is no message of kind " + std::to_string(static_cast<unsigned>(kind)));
  }
  return reply ? reply->finish() : refusal_of(reply.error());
}

Result<MessageWriter> Server::answer_link(Kind kind, MessageReader& body) {
  if (kind == Kind::hello) return hello(body);
  if (kind == Kind::run) return run(body);
  const auto bytes = body.bytes();
  if (!body.whole()) return too_short();
  if (const auto written = rig_.write(bytes); !written) return tl::unexpected(written.error());
  return reply_to(kind).i64(rig_.now().ns);
}

Result<MessageWriter> Server::hello(MessageReader& body) {
  const std::uint32_t magic = body.u32();
  const std::uint16_t version = body.u16();
  if (!body.whole()) return too_short();
  if (magic != protocol_magic || version != protocol_version) {
    return failure(ErrorKind::bad_input, "emulator.other-version",
                   "the emulated controller speaks version " + std::to_string(protocol_version) +
                       " of its protocol and was greeted in version " + std::to_string(version),
                   "build ringout and ringout-emulated from the same source");
  }
  greeted_ = true;
  return reply_to(Kind::hello).u16(protocol_version).i64(rig_.now().ns);
}

Result<MessageWriter> Server::run(MessageReader& body) {
  const Instant deadline{body.i64()};
  if (!body.whole()) return too_short();
  if (deadline > rig_.now() + longest_run) return too_long();
  const auto event = rig_.wait_until(deadline);
  const auto* arrived = std::get_if<link::Arrived>(&event);
  MessageWriter reply = reply_to(Kind::run).i64(rig_.now().ns);
  if (arrived != nullptr) return reply.i64(arrived->at.ns).bytes(arrived->bytes);
  return reply.i64(0).bytes({});
}

Result<MessageWriter> Server::answer_person(Kind kind, MessageReader& body) {
  if (kind == Kind::look) {
    const auto seen = rig_.look();
    if (!seen) return tl::unexpected(seen.error());
    MessageWriter reply = reply_to(kind);
    write_seen(reply, *seen);
    return reply;
  }
  if (kind == Kind::reset_breaker) {
    const std::string breaker = body.text();
    if (!body.whole()) return too_short();
    if (const auto done = rig_.reset_breaker(breaker); !done) return tl::unexpected(done.error());
    return reply_to(kind);
  }
  const bool on = body.u8() != 0;
  const std::string input = kind == Kind::work_by_hand ? body.text() : std::string();
  if (!body.whole()) return too_short();
  const auto done = kind == Kind::work_by_hand ? rig_.work_by_hand(input, on) : rig_.open_disconnect(on);
  if (!done) return tl::unexpected(done.error());
  return reply_to(kind);
}

Result<MessageWriter> Server::answer_bench(Kind kind, MessageReader& body) {
  MessageWriter reply = reply_to(kind);
  if (kind == Kind::truth) write_truth(reply, rig_.truth());
  if (kind == Kind::reset) rig_.reset();
  if (kind == Kind::cut_power) {
    const Duration length{body.i64()};
    if (!body.whole()) return too_short();
    if (length > longest_run) return too_long();
    rig_.cut_power(length);
  }
  if (kind == Kind::save_eeprom) {
    if (const auto saved = save_(rig_.chip().eeprom()); !saved) return tl::unexpected(saved.error());
  }
  if (kind == Kind::counters) {
    const ChipCounters& counters = rig_.chip().counters();
    reply.u32(counters.resets).u32(counters.watchdog_resets).u32(counters.receive_overruns).u32(counters.crashes);
  }
  return reply;
}

}  // namespace ringout::emulator
