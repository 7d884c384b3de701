// What ringout and the emulated controller's program say to each other, against any bytes: a stream is cut the same
// however it arrives, every reader comes to an end, and what was read whole is written and read again the same.
#include <algorithm>
#include <cstddef>
#include <cstdint>

#include "base/check.h"
#include "emulator/protocol.h"

namespace {

using namespace ringout;
using namespace ringout::emulator;

using Bytes = std::vector<std::uint8_t>;

struct Cut {
  std::vector<Bytes> bodies;
  bool damaged = false;
};

// In pieces of `piece` bytes, as a pipe may hand them over.
Cut cut(std::span<const std::uint8_t> stream, std::size_t piece) {
  Cut found;
  MessageSplitter splitter;
  while (!stream.empty()) {
    const auto part = stream.first(std::min(piece, stream.size()));
    stream = stream.subspan(part.size());
    splitter.add(part);
    while (true) {
      auto body = splitter.next();
      if (!body) {
        found.damaged = true;
        return found;
      }
      if (!*body) break;
      RINGOUT_CHECK(!(*body)->empty() && (*body)->size() <= longest_message);
      found.bodies.push_back(std::move(**body));
    }
  }
  return found;
}

MessageReader after_kind(const Bytes& message) {
  MessageReader reader(std::span<const std::uint8_t>(message).subspan(length_bytes));
  static_cast<void>(reader.u8());
  return reader;
}

// Whatever the body says it is, each reader of an answer may meet it. A text that was read fits a text again, so
// writing what was read and reading that gives the same bytes once more.
template <class Read, class Write>
void read_write_read(const Bytes& body, Read read, Write write) {
  MessageReader from(body);
  const std::uint8_t kind = from.u8();
  const auto value = read(from);
  if (!from.whole()) return;
  const Bytes once = write(kind, value);
  MessageReader again = after_kind(once);
  const auto same = read(again);
  RINGOUT_CHECK(again.whole());
  RINGOUT_CHECK(write(kind, same) == once);
}

void read_as_everything(const Bytes& body) {
  read_write_read(
      body, [](MessageReader& from) { return read_seen(from); },
      [](std::uint8_t kind, const auto& seen) {
        MessageWriter to(kind);
        write_seen(to, seen);
        return to.finish();
      });
  read_write_read(
      body, [](MessageReader& from) { return read_truth(from); },
      [](std::uint8_t kind, const auto& truth) {
        MessageWriter to(kind);
        write_truth(to, truth);
        return to.finish();
      });
  read_write_read(
      body, [](MessageReader& from) { return read_refusal(from); },
      [](std::uint8_t, const Error& error) { return refusal_of(error); });
  read_write_read(
      body, [](MessageReader& from) { return from.bytes(); },
      [](std::uint8_t kind, const Bytes& bytes) { return MessageWriter(kind).bytes(bytes).finish(); });
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size < 2) return 0;
  const std::span<const std::uint8_t> stream(data + 1, size - 1);
  const Cut whole = cut(stream, stream.size());
  const Cut pieces = cut(stream, 1 + data[0] % 16);
  RINGOUT_CHECK(pieces.bodies == whole.bodies && pieces.damaged == whole.damaged);
  for (const Bytes& body : whole.bodies) read_as_everything(body);
  read_as_everything({stream.begin(), stream.end()});  // also where no length in front is right
  return 0;
}
