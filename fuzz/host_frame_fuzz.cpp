// The host's end of the wire against any bytes: a session is opened well, then a controller gone mad answers. The first
// byte of the input chooses between raw bytes and whole frames with a right check, so that what reads payloads is met.
#include <cstddef>
#include <cstdint>

#include "base/check.h"
#include "link/client.h"
#include "link/scripted_agent.h"

namespace {

using namespace ringout;
using link::ScriptedAgent;

constexpr Duration ms(std::int64_t n) {
  return Duration::milliseconds(n);
}

// [type, size, payload …] again and again; each becomes a frame with the tag of the last request.
void arrive_as_frames(ScriptedAgent& agent, const std::uint8_t* data, std::size_t size) {
  std::int64_t at = 1;
  while (size >= 2) {
    const std::uint8_t type = data[0];
    const std::size_t length = std::min<std::size_t>({data[1], size - 2, wire::max_payload_bytes});
    wire::FrameBuilder builder;
    const std::uint8_t tag = agent.requests.empty() ? std::uint8_t{0} : agent.requests.back().tag;
    wire::Writer payload = builder.begin(type, tag);
    payload.raw(data + 2, static_cast<std::uint16_t>(length));
    const std::uint16_t bytes = builder.close(payload);
    agent.line.arrive({builder.bytes(), builder.bytes() + bytes}, ms(at++));
    data += 2 + length;
    size -= 2 + length;
  }
}

void arrive_raw(ScriptedAgent& agent, const std::uint8_t* data, std::size_t size) {
  for (std::size_t from = 0; from < size; from += 40) {
    const std::size_t piece = std::min<std::size_t>(40, size - from);
    agent.line.arrive({data + from, data + from + piece}, ms(static_cast<std::int64_t>(1 + from / 40)));
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size < 2) return 0;
  ScriptedAgent agent;
  link::Client client(agent.line, 1, {.hello = ms(100), .reply = ms(10), .repeats = 2, .busy = ms(60)});
  RINGOUT_CHECK(client.hello().has_value());
  RINGOUT_CHECK(client.stream_samples(ms(2)).has_value());
  auto permission = client.permit({});
  RINGOUT_CHECK(permission.has_value());
  // From here on the controller says only what the input says.
  for (int type = 1; type < 0x40; ++type) {
    agent.on[static_cast<std::uint8_t>(type)] = [](const auto&) { return ScriptedAgent::Then::stay_silent; };
  }
  const auto madness = [&] { (data[0] & 1 ? arrive_as_frames : arrive_raw)(agent, data + 1, size - 1); };
  madness();
  // Results are of no account; that every call comes back in bounded time is.
  const Instant begin = client.now();
  static_cast<void>(client.run_until(begin + ms(20)));
  switch ((data[0] >> 1) & 7) {
    case 0:
      static_cast<void>(client.status());
      break;
    case 1:
      static_cast<void>(client.read_table());
      break;
    case 2:
      static_cast<void>(client.point_names());
      break;
    case 3:
      static_cast<void>(permission->drive(1, 100));
      break;
    case 4:
      static_cast<void>(permission->bump({.port = 1, .level_permille = 100, .duration_ms = 20}));
      break;
    case 5:
      static_cast<void>(client.load_table(std::vector<std::uint8_t>(200, data[0])));
      break;
    default:
      agent.on[wire::type_hello] = [&](const auto&) {
        madness();
        return ScriptedAgent::Then::stay_silent;
      };
      static_cast<void>(client.hello());
  }
  RINGOUT_CHECK(client.now() - begin < ms(5000));
  return 0;
}
