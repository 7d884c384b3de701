#include "agent/bench_board.h"

#include <cstring>

#include "wire/testing.h"

namespace ringout {
namespace agent {
namespace {

BenchBoard& self(void* context) {
  return *static_cast<BenchBoard*>(context);
}

bool ready(void* context) {
  const BenchBoard& b = self(context);
  return static_cast<std::int32_t>(b.clock_us - b.eeprom_free_at_us) >= 0;
}

bool write_byte(void* context, uint16_t at, uint8_t byte) {
  BenchBoard& b = self(context);
  if (!ready(context)) return false;
  if (b.eeprom_writes_left == 0) {  // the supply is gone: this byte is torn, and none after it arrives
    if (!b.eeprom_torn) b.eeprom[at] = static_cast<std::uint8_t>(byte ^ 0x5A);
    b.eeprom_torn = true;
    return true;
  }
  if (b.eeprom_writes_left > 0) --b.eeprom_writes_left;
  b.eeprom[at] = byte;
  b.eeprom_free_at_us = b.clock_us + b.eeprom_byte_us;
  return true;
}

}  // namespace

bool BenchBoard::all_off() const {
  for (const std::int16_t level : levels) {
    if (level != 0) return false;
  }
  return true;
}

Board BenchBoard::port() {
  Board b = {};
  b.context = this;
  b.bridges = static_cast<std::uint8_t>(levels.size());
  b.encoders = static_cast<std::uint8_t>(counts.size());
  b.switches = 8;
  b.adc_channels = static_cast<std::uint8_t>(adc.size());
  b.supply_adc = 0;
  b.supply_mv_per_raw = 20.0f;
  b.set_bridge = [](void* c, uint8_t bridge, int16_t level, OffMode off) {
    self(c).levels[bridge] = level;
    self(c).off_modes[bridge] = off;
  };
  b.all_off = [](void* c, uint16_t brake_mask) {
    for (std::size_t i = 0; i < self(c).levels.size(); ++i) {
      self(c).levels[i] = 0;
      self(c).off_modes[i] = ((brake_mask >> i) & 1) != 0 ? OffMode::brake : OffMode::coast;
    }
  };
  b.encoder_count = [](void* c, uint8_t i) { return self(c).counts[i]; };
  b.switch_levels = [](void* c) { return self(c).switches; };
  b.adc_raw = [](void* c, uint8_t i) { return self(c).adc[i]; };
  b.clock_us = [](void* c) { return self(c).clock_us; };
  b.eeprom_bytes = static_cast<std::uint16_t>(eeprom.size());
  b.eeprom_ready = ready;
  b.eeprom_read = [](void* c, uint16_t at, uint8_t* to, uint16_t count) {
    if (!ready(c)) ++self(c).eeprom_waits;
    std::memcpy(to, self(c).eeprom.data() + at, count);
  };
  b.eeprom_write = write_byte;
  b.feed_watchdog = [](void* c) { self(c).fed_at_us = self(c).clock_us; };
  b.lock = [](void* c) { return static_cast<uint8_t>(self(c).locks++); };
  b.unlock = [](void* c, uint8_t saved) {
    BenchBoard& bench = self(c);
    bench.locks = saved;
    if (saved == 0 && bench.interrupt_after_unlocks >= 0 && bench.interrupt_after_unlocks-- == 0) bench.interrupt();
  };
  b.transmit_room = [](void* c) { return self(c).room; };
  b.transmit = [](void* c, const uint8_t* bytes, uint16_t count) {
    self(c).sent.insert(self(c).sent.end(), bytes, bytes + count);
  };
  b.unused_stack = [](void*) -> uint16_t { return 1000; };
  b.load_permille = [](void*) -> uint16_t { return 100; };
  b.entropy = [](void* c) { return self(c).chance; };
  return b;
}

Firmware BenchFirmware::port() {
  Firmware f = {};
  f.major = 0;
  f.minor = 1;
  f.patch = 0;
  f.board_fp = board_fp;
  f.program_fp = program_fp;
  f.points = points;
  f.point_name = [](void*, uint8_t point, char* to, uint8_t capacity, wire::PointKind* kind) -> uint8_t {
    static const char* const names[] = {"lift", "clamp", "pump", "lift_bottom", "lift_top", "clamp_position"};
    *kind = point < 2    ? wire::PointKind::bridge_motor
            : point == 2 ? wire::PointKind::on_off
            : point < 5  ? wire::PointKind::switch_input
                         : wire::PointKind::analogue;
    const std::size_t size = std::strlen(names[point]);
    const std::size_t kept = size < capacity ? size : capacity;
    std::memcpy(to, names[point], kept);
    return static_cast<uint8_t>(kept);
  };
  return f;
}

ProgramHooks BenchProgram::hooks() {
  ProgramHooks h = {};
  h.context = this;
  h.start = [](void* c) { return ++static_cast<BenchProgram*>(c)->starts > 0; };
  h.stop = [](void* c) { ++static_cast<BenchProgram*>(c)->stops; };
  if (!present) h.start = nullptr;
  return h;
}

Bench::Bench() {
  header.program_fp = firmware.program_fp;
  header.board_fp = firmware.board_fp;
  header.unproved_level_permille = 250;
  header.unproved_duration_ms = 200;
  header.unproved_slope_permille_per_ms = 10;
  header.supply_low_mv = 8500;
  header.supply_adc = 0;
  header.supply_mv_per_raw = 20.0f;
  header.banks[0].adc_channel = 3;
  header.banks[0].limit_raw = 700;
  board.adc[0] = 600;  // 12 V
  const auto entry = [](wire::PointKind kind, std::uint8_t port, std::uint8_t flags) {
    wire::TableEntry e;
    e.kind = static_cast<std::uint8_t>(kind);
    e.port = port;
    e.flags = flags;
    e.max_level_permille = 800;
    e.slope_permille_per_ms = 100;
    return e;
  };
  entries.push_back(entry(wire::PointKind::bridge_motor, 0, wire::entry_proved | wire::entry_brake));
  entries.push_back(entry(wire::PointKind::bridge_motor, 1, wire::entry_proved | wire::entry_reversed));
  entries.push_back(entry(wire::PointKind::on_off, 2, wire::entry_proved));
  entries.push_back(entry(wire::PointKind::switch_input, 0, wire::entry_acts_low));
  entries.push_back(entry(wire::PointKind::switch_input, 1, wire::entry_acts_low));
  entries.push_back(entry(wire::PointKind::analogue, 1, 0));
  entries[0].low_switch = 3;
  entries[0].high_switch = 4;
  entries[1].travel_sensor = 5;
  entries[1].travel_low = 200;
  entries[1].travel_high = 800;
  entries[2].slope_permille_per_ms = 0;
  entries[5].scale = 0.5f;
  entries[5].offset = -10.0f;
  reset();
}

void Bench::reset(wire::ResetCause cause) {
  if (agent != nullptr) ++resets;
  board.clock_us = 5000;
  board.eeprom_free_at_us = 0;
  board.locks = 0;
  board.sent.clear();
  agent = std::make_unique<Agent>(board.port(), firmware.port(), program.hooks());
  for (auto& level : board.levels) level = 0;  // the chip's pins fall back by themselves
  agent->start(cause);
}

void Bench::run(int ms) {
  for (int i = 0; i < ms; ++i) {
    board.clock_us += tick_us;
    agent->tick();
  }
}

void Bench::hang(int ms) {
  for (int i = 0; i < ms; ++i) {
    board.clock_us += tick_us;
    if (board.clock_us - board.fed_at_us > wire::watchdog_ms * 1100u) {
      reset(wire::ResetCause::watchdog);
    }
  }
}

void Bench::receive(const std::vector<std::uint8_t>& bytes) {
  for (const std::uint8_t byte : bytes) agent->on_receive_byte(byte);
}

std::vector<std::vector<std::uint8_t>> Bench::take_frames() {
  std::vector<std::vector<std::uint8_t>> frames;
  wire::FrameDecoder decoder;
  for (const std::uint8_t byte : board.sent) {
    if (decoder.push(byte) != wire::FrameDecoder::Event::frame) continue;
    const wire::Frame f = decoder.frame();
    std::vector<std::uint8_t> whole = {f.type, f.tag};
    whole.insert(whole.end(), f.payload, f.payload + f.size);
    if (f.type >= wire::type_stopped) events.push_back(whole);
    frames.push_back(whole);
  }
  board.sent.clear();
  return frames;
}

std::vector<std::uint8_t> Bench::table() {
  std::vector<std::uint8_t> bytes(wire::table_bytes(static_cast<std::uint8_t>(entries.size())));
  wire::encode_table(header, entries.data(), static_cast<std::uint8_t>(entries.size()), bytes.data());
  return bytes;
}

wire::Status Bench::load(const std::vector<std::uint8_t>& bytes) {
  return wire::testing::load_table(bytes, [this](const auto& request) { return status_of(request); });
}

void Bench::permit() {
  wire::Permit request;
  request.nonce = 77 + tag;
  token = ask<wire::PermitReply>(request).token;
  sequence = 0;
}

wire::MotionHeader Bench::next_header() {
  wire::MotionHeader h;
  h.token = token;
  h.sequence = ++sequence;
  h.not_after_us = board.clock_us + 50000;
  return h;
}

wire::Status Bench::drive(std::uint8_t port, std::int16_t level) {
  wire::Drive request;
  request.motion = next_header();
  request.port = port;
  request.level_permille = level;
  return status_of(request);
}

wire::Status Bench::hold() {
  wire::Hold request;
  request.motion = next_header();
  return status_of(request);
}

wire::Bump Bench::gentle_bump(std::uint8_t port, std::int16_t level) {
  wire::Bump request;
  request.motion = next_header();
  request.port = port;
  request.level_permille = level;
  request.slope_permille_per_ms = 10;
  request.duration_ms = 100;
  request.encoder_allowance = 50;
  request.analogue_allowance = 20;
  return request;
}

void Bench::run_held(int ms) {
  for (int i = 0; i < ms; ++i) {
    if (i % wire::hold_period_ms == 0) {
      hold();
    } else {
      run(1);
    }
  }
}

}  // namespace agent
}  // namespace ringout
