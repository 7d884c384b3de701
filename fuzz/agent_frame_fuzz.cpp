// The agent against whatever comes down the line: raw bytes, well-framed requests with any payload, and motion frames
// with a live token and any bounds, mixed with time and changing sensors. It must not crash; nothing may be on without
// permission, no level beyond the table's, and all must be off soon after the last byte.
#include <cstdint>
#include <cstdlib>
#include <vector>

#include "agent/bench_board.h"

using namespace ringout;
using agent::Bench;

namespace {

const std::vector<std::uint8_t>& image_with_table() {
  static const std::vector<std::uint8_t> image = [] {
    Bench bench;
    if (bench.load(bench.table()) != wire::Status::ok) std::abort();
    return bench.board.eeprom;
  }();
  return image;
}

struct Input {
  const std::uint8_t* at;
  const std::uint8_t* end;
  [[nodiscard]] bool left() const { return at < end; }
  std::uint8_t byte() { return left() ? *at++ : std::uint8_t{0}; }
  std::uint16_t word() {
    const std::uint8_t low = byte();
    return static_cast<std::uint16_t>(low | (byte() << 8));
  }
};

void must(bool holds) {
  if (!holds) std::abort();
}

void check(const Bench& bench) {
  const auto& levels = bench.board.levels;
  const bool may_move = bench.agent->state() != wire::AgentState::inhibited;
  must(may_move || bench.board.all_off());
  for (std::size_t i = 0; i < levels.size(); ++i) must(std::abs(levels[i]) <= (i < 3 ? 800 : 250));
}

void send_frame(Bench& bench, std::uint8_t type, Input& in) {
  wire::FrameBuilder builder;
  wire::Writer to = builder.begin(type, in.byte());
  const std::uint8_t count = in.byte() % (wire::max_payload_bytes + 1);
  for (std::uint8_t i = 0; i < count; ++i) to.u8(in.byte());
  const std::uint16_t size = builder.close(to);
  bench.receive({builder.bytes(), builder.bytes() + size});
}

wire::MotionHeader header(Bench& bench, Input& in) {
  wire::MotionHeader h = bench.next_header();
  const std::uint8_t spoil = in.byte();
  if (spoil % 8 == 1) h.sequence = in.byte();
  if (spoil % 8 == 2) h.not_after_us += in.word() * 16U - 500000U;
  return h;
}

void act(Bench& bench, Input& in) {
  switch (in.byte() % 10) {
    case 0:
      return bench.receive({in.byte(), in.byte(), in.byte(), in.byte()});
    case 1:
      return send_frame(bench, in.byte(), in);
    case 2:
      return bench.permit();
    case 3: {
      wire::Drive request;
      request.motion = header(bench, in);
      request.port = in.byte() % 10;
      request.level_permille = static_cast<std::int16_t>(in.word());
      return bench.receive(bench.framed(wire::type_drive, request));
    }
    case 4: {
      wire::Bump request = bench.gentle_bump(in.byte() % 10, static_cast<std::int16_t>(in.word()));
      request.slope_permille_per_ms = in.word();
      request.duration_ms = in.word();
      return bench.receive(bench.framed(wire::type_bump, request));
    }
    case 5: {
      wire::ProgramStart request;
      request.motion = header(bench, in);
      return bench.receive(bench.framed(wire::type_program_start, request));
    }
    case 6:
      return bench.agent->program_set(in.byte(), static_cast<std::int16_t>(in.word()), in.word());
    case 7:
      bench.board.switches = in.word();
      bench.board.adc[in.byte() % 8] = in.word() % 1024;
      bench.board.counts[in.byte() % 6] += static_cast<std::int8_t>(in.byte());
      return;
    case 8:
      return bench.agent->program_over();
    default:
      return bench.run(in.byte() % 16);
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  Bench bench;
  bench.board.eeprom = image_with_table();
  bench.reset();
  Input in{data, data + size};
  for (int steps = 0; in.left() && steps < 400; ++steps) {
    act(bench, in);
    if (!bench.agent->program_live()) check(bench);
    bench.run(1);
    check(bench);
    bench.take_frames();
  }
  bench.run(wire::hold_lapse_ms + 10);
  must(bench.board.all_off());
  return 0;
}
