#include "reach/emulated_stream.h"

#include <algorithm>

#include "os/clock.h"

namespace ringout::reach {
namespace {

using emulator::Kind;
using emulator::MessageReader;
using emulator::MessageWriter;

// The emulation is several times faster than real time; a process that needs so much longer has hung.
constexpr Duration patience = Duration::seconds(30);
constexpr std::int64_t patience_per_work = 10;

tl::unexpected<Error> nonsense() {
  return failure(ErrorKind::unreachable, "link.emulator-answers-nonsense",
                 "the emulated controller's answer is damaged",
                 "build ringout and ringout-emulated from the same source");
}

std::vector<std::string> words_of(const EmulatorCommand& command) {
  std::vector<std::string> words{command.program, "--robot", command.robot, "--firmware", command.firmware};
  for (const std::string& folder : command.catalogue) words.insert(words.end(), {"--catalogue", folder});
  if (command.deviations) words.insert(words.end(), {"--deviations", *command.deviations});
  if (!command.eeprom.empty()) words.insert(words.end(), {"--eeprom", command.eeprom});
  return words;
}

}  // namespace

Result<std::unique_ptr<EmulatedStream>> EmulatedStream::start(const EmulatorCommand& command, std::string name) {
  auto child = os::ChildProcess::start(words_of(command));
  if (!child) {
    Error error = child.error();
    if (error.id == "child.not-found") error.hint = "build the target ringout-emulated, or put it beside this program";
    return tl::unexpected(std::move(error));
  }
  std::unique_ptr<EmulatedStream> stream(new EmulatedStream(std::move(*child), std::move(name)));
  const auto reply =
      stream->ask(MessageWriter(Kind::hello).u32(emulator::protocol_magic).u16(emulator::protocol_version));
  if (!reply) return tl::unexpected(reply.error());
  MessageReader fields(*reply);
  if (fields.u16() != emulator::protocol_version) return nonsense();
  stream->now_ = {fields.i64()};
  return stream;
}

EmulatedStream::~EmulatedStream() {
  if (!broken_) (void)save_eeprom();
}

Result<std::vector<std::uint8_t>> EmulatedStream::ask(MessageWriter message, Duration work) {
  if (broken_) return failure(ErrorKind::unreachable, "link.emulator-gone", "the emulated controller has ended");
  const auto bytes = message.finish();
  const std::uint8_t kind = bytes[emulator::length_bytes];
  broken_ = true;  // until the whole answer is here
  if (const auto sent = child_.write(bytes); !sent) return tl::unexpected(sent.error());
  const Instant deadline = os::monotonic_now() + patience + work * patience_per_work;
  const auto head = child_.read_exactly(emulator::length_bytes, deadline);
  if (!head) return tl::unexpected(head.error());
  const std::uint32_t length = MessageReader(*head).u32();
  if (length == 0 || length > emulator::longest_message) return nonsense();
  auto body = child_.read_exactly(length, deadline);
  if (!body) return tl::unexpected(body.error());
  broken_ = false;
  if (body->front() == emulator::refusal) {
    MessageReader fields(std::span<const std::uint8_t>(*body).subspan(1));
    return tl::unexpected(emulator::read_refusal(fields));
  }
  if (body->front() != (kind | emulator::reply_bit)) return nonsense();
  body->erase(body->begin());
  return body;
}

Result<void> EmulatedStream::tell(MessageWriter message) {
  const auto reply = ask(std::move(message));
  if (!reply) return tl::unexpected(reply.error());
  return {};
}

Result<void> EmulatedStream::write(std::span<const std::uint8_t> bytes) {
  return tell(MessageWriter(Kind::write).bytes(bytes));
}

link::StreamEvent EmulatedStream::wait_until(Instant deadline) {
  const Duration work = std::max(Duration{}, deadline - now_);
  const auto reply = ask(MessageWriter(Kind::run).i64(deadline.ns), work);
  if (!reply) return link::Closed{reply.error()};
  MessageReader fields(*reply);
  now_ = {fields.i64()};
  link::Arrived arrived;
  arrived.at = {fields.i64()};
  arrived.bytes = fields.bytes();
  if (!fields.whole()) return link::Closed{nonsense().value()};
  if (arrived.bytes.empty()) return link::DeadlinePassed{};
  return arrived;
}

Result<void> EmulatedStream::work_by_hand(const std::string& input, bool on) {
  return tell(MessageWriter(Kind::work_by_hand).u8(on ? 1 : 0).text(input));
}

Result<void> EmulatedStream::open_disconnect(bool open) {
  return tell(MessageWriter(Kind::open_disconnect).u8(open ? 1 : 0));
}

Result<void> EmulatedStream::reset_breaker(const std::string& breaker) {
  return tell(MessageWriter(Kind::reset_breaker).text(breaker));
}

Result<std::vector<plant::Seen>> EmulatedStream::look() {
  const auto reply = ask(MessageWriter(Kind::look));
  if (!reply) return tl::unexpected(reply.error());
  MessageReader fields(*reply);
  auto seen = emulator::read_seen(fields);
  if (!fields.whole()) return nonsense();
  return seen;
}

Result<plant::Truth> EmulatedStream::truth() {
  const auto reply = ask(MessageWriter(Kind::truth));
  if (!reply) return tl::unexpected(reply.error());
  MessageReader fields(*reply);
  auto truth = emulator::read_truth(fields);
  if (!fields.whole()) return nonsense();
  return truth;
}

Result<EmulatorCounters> EmulatedStream::counters() {
  const auto reply = ask(MessageWriter(Kind::counters));
  if (!reply) return tl::unexpected(reply.error());
  MessageReader fields(*reply);
  EmulatorCounters counters;
  counters.resets = fields.u32();
  counters.watchdog_resets = fields.u32();
  counters.receive_overruns = fields.u32();
  counters.crashes = fields.u32();
  if (!fields.whole()) return nonsense();
  return counters;
}

Result<void> EmulatedStream::reset() {
  return tell(MessageWriter(Kind::reset));
}
Result<void> EmulatedStream::cut_power(Duration length) {
  return tell(MessageWriter(Kind::cut_power).i64(length.ns));
}
Result<void> EmulatedStream::save_eeprom() {
  return tell(MessageWriter(Kind::save_eeprom));
}

}  // namespace ringout::reach
