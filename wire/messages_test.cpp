// The bytes of every message: each example of docs/wire.md is encoded here and compared, and decoded again.
#include "wire/messages.h"

#include <doctest/doctest.h>

#include <cstdio>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <type_traits>
#include <vector>

#include "wire/point_table.h"

using namespace ringout;

namespace {

std::string hex(const std::uint8_t* bytes, std::size_t count) {
  std::string text;
  for (std::size_t i = 0; i < count; ++i) {
    char two[4];
    std::snprintf(two, sizeof two, "%s%02X", i == 0 ? "" : " ", bytes[i]);
    text += two;
  }
  return text;
}

// Lines of the reference page of the form "    name = 01 02 … \" with continuation lines, as name -> bytes.
std::map<std::string, std::string> documented() {
  std::ifstream page(std::string(RINGOUT_SOURCE_DIR) + "/docs/wire.md");
  REQUIRE(page.good());
  std::map<std::string, std::string> examples;
  std::string line;
  std::string current;
  while (std::getline(page, line)) {
    const std::size_t equals = line.find(" = ");
    if (line.rfind("    ", 0) == 0 && equals != std::string::npos) {
      current = line.substr(4, equals - 4);
      examples[current] = line.substr(equals + 3);
    } else if (line.rfind("      ", 0) == 0 && !current.empty()) {
      examples[current] += " " + line.substr(6);
    } else {
      current.clear();
    }
  }
  return examples;
}

template <class Record>
constexpr bool ends_open = std::is_same_v<Record, wire::TableChunk> || std::is_same_v<Record, wire::TableReadReply>;

struct Examples {
  std::map<std::string, std::string> on_page = documented();
  int seen = 0;

  void check(const std::string& name, const std::string& bytes) {
    CAPTURE(name);
    ++seen;
    CHECK(on_page[name] == bytes);
  }
  template <class Record>
  void frame(const std::string& name, std::uint8_t type, std::uint8_t tag, const Record& record) {
    wire::FrameBuilder builder;
    const std::uint16_t size = wire::build(builder, type, tag, record);
    check(name, hex(builder.bytes(), size));
    wire::FrameDecoder decoder;
    auto event = wire::FrameDecoder::Event::nothing;
    for (std::uint16_t i = 0; i < size; ++i) event = decoder.push(builder.bytes()[i]);
    REQUIRE(event == wire::FrameDecoder::Event::frame);
    const wire::Frame f = decoder.frame();
    CHECK(f.type == type);
    Record back;
    REQUIRE(wire::decode(f.payload, f.size, back));
    wire::FrameBuilder again;
    CHECK(hex(again.bytes(), wire::build(again, type, tag, back)) == hex(builder.bytes(), size));
    // Shorter by one byte it is refused, unless its end is a run of bytes of any length.
    if (f.size > 0 && !ends_open<Record>) {
      CHECK_FALSE(wire::decode(f.payload, static_cast<std::uint16_t>(f.size - 1), back));
    }
  }
};

wire::MotionHeader header() {
  wire::MotionHeader h;
  h.token = 0x1A2B3C4D;
  h.sequence = 7;
  h.not_after_us = 5050000;
  return h;
}

wire::ReplyHeader ok() {
  wire::ReplyHeader h;
  h.consumed = 40;
  h.clock_us = 5000000;
  return h;
}

void requests(Examples& e) {
  wire::Hello hello;
  hello.features = 0x0F;
  hello.nonce = 0xCAFE0001;
  e.frame("hello", wire::type_hello, 1, hello);
  e.frame("status", wire::type_status, 2, wire::StatusRequest());
  wire::PointNameRequest name;
  name.point = 3;
  e.frame("point_name", wire::type_point_name, 3, name);
  wire::TableBegin begin;
  begin.length = 496;
  begin.crc = 0x11223344;
  e.frame("table_begin", wire::type_table_begin, 4, begin);
  const std::uint8_t bytes[] = {0x52, 0x54, 0x01};
  wire::TableChunk chunk;
  chunk.offset = 96;
  chunk.bytes.bytes = bytes;
  chunk.bytes.size = sizeof bytes;
  e.frame("table_chunk", wire::type_table_chunk, 5, chunk);
  e.frame("table_commit", wire::type_table_commit, 6, wire::TableCommit());
  wire::TableRead read;
  read.offset = 192;
  read.length = 96;
  e.frame("table_read", wire::type_table_read, 7, read);
  e.frame("clear_faults", wire::type_clear_faults, 8, wire::ClearFaults());
  e.frame("last_bump", wire::type_last_bump, 17, wire::LastBumpRequest());
  wire::Permit permit;
  permit.nonce = 0xCAFE0002;
  e.frame("permit", wire::type_permit, 9, permit);
  e.frame("program_stop", wire::type_program_stop, 14, wire::ProgramStop());
  wire::Release release;
  release.token = 0x1A2B3C4D;
  e.frame("release", wire::type_release, 15, release);
  e.frame("stop", wire::type_stop, 0, wire::Stop());
  wire::Stream stream;
  stream.period_ms = 2;
  stream.content = wire::sample_all;
  e.frame("stream", wire::type_stream, 16, stream);
}

void motions(Examples& e) {
  wire::Hold hold;
  hold.motion = header();
  e.frame("hold", wire::type_hold, 10, hold);
  wire::Drive drive;
  drive.motion = header();
  drive.port = 2;
  drive.level_permille = -250;
  e.frame("drive", wire::type_drive, 11, drive);
  wire::Bump bump;
  bump.motion = header();
  bump.port = 3;
  bump.level_permille = 180;
  bump.slope_permille_per_ms = 5;
  bump.duration_ms = 150;
  bump.encoder_allowance = 40;
  bump.analogue_allowance = 25;
  bump.allowed_switches = 0x0004;
  e.frame("bump", wire::type_bump, 12, bump);
  wire::ProgramStart start;
  start.motion = header();
  e.frame("program_start", wire::type_program_start, 13, start);
}

void replies(Examples& e) {
  wire::ReplyHeader refused = ok();
  refused.status = wire::Status::too_late;
  refused.detail = 12;
  e.frame("drive_refused", wire::reply_type(wire::type_drive), 11, refused);
  wire::HelloReply hello;
  hello.header = ok();
  hello.features = 0x0F;
  hello.firmware_minor = 1;
  for (std::uint8_t i = 0; i < 8; ++i) hello.identity[i] = static_cast<std::uint8_t>(0xA0 + i);
  hello.board_fp = 0x01020304;
  hello.program_fp = 0x05060708;
  hello.table_fp = 0x090A0B0C;
  hello.table_state = static_cast<std::uint8_t>(wire::TableState::valid);
  hello.points = 16;
  hello.bridges = 8;
  hello.encoders = 6;
  hello.switches = 8;
  hello.adc_channels = 8;
  hello.window = 240;
  hello.reset_cause = static_cast<std::uint8_t>(wire::ResetCause::power_on);
  hello.nonce = 0xCAFE0001;
  e.frame("hello_reply", wire::reply_type(wire::type_hello), 1, hello);
  wire::StatusReply status;
  status.header = ok();
  status.supply_mv = 12340;
  status.state = static_cast<std::uint8_t>(wire::AgentState::program);
  status.program_state = static_cast<std::uint8_t>(wire::ProgramState::running);
  status.program_line = 42;
  status.wait_kind = static_cast<std::uint8_t>(wire::WaitKind::input);
  status.wait_point = 13;
  status.step.set("close clamp");
  status.unused_stack = 4100;
  status.load_permille = 180;
  e.frame("status_reply", wire::reply_type(wire::type_status), 2, status);
  wire::PointNameReply name;
  name.header = ok();
  name.name.set("clamp");
  e.frame("point_name_reply", wire::reply_type(wire::type_point_name), 3, name);
  wire::LastBumpReply bump;
  bump.header = ok();
  bump.bump = {.port = 3,
               .cause = static_cast<std::uint8_t>(wire::StopCause::end_switch),
               .clock_us = 69'000'000,
               .duration_ms = 42};
  e.frame("last_bump_reply", wire::reply_type(wire::type_last_bump), 17, bump);
  const std::uint8_t bytes[] = {0x52, 0x54, 0x01};
  wire::TableReadReply read;
  read.header = ok();
  read.offset = 192;
  read.bytes.bytes = bytes;
  read.bytes.size = sizeof bytes;
  e.frame("table_read_reply", wire::reply_type(wire::type_table_read), 7, read);
  wire::PermitReply permit;
  permit.header = ok();
  permit.token = 0x1A2B3C4D;
  e.frame("permit_reply", wire::reply_type(wire::type_permit), 9, permit);
}

void events(Examples& e) {
  wire::StoppedEvent stopped;
  stopped.cause = static_cast<std::uint8_t>(wire::StopCause::end_switch);
  stopped.port = 2;
  stopped.clock_us = 5000000;
  e.frame("stopped", wire::type_stopped, 0, stopped);
  wire::BumpEndedEvent ended;
  ended.port = 3;
  ended.cause = static_cast<std::uint8_t>(wire::StopCause::duration_over);
  ended.clock_us = 5000000;
  ended.duration_ms = 150;
  e.frame("bump_ended", wire::type_bump_ended, 0, ended);
  wire::ProgramEvent program;
  program.state = static_cast<std::uint8_t>(wire::ProgramState::ended);
  program.line = 57;
  e.frame("program", wire::type_program_event, 0, program);
  wire::SampleHead head;
  head.sequence = 300;
  head.clock_us = 5000000;
  e.frame("sample_head", wire::type_sample, 0, head);
}

void table(Examples& e) {
  wire::TableHeader header;
  header.program_fp = 0x05060708;
  header.board_fp = 0x01020304;
  header.unproved_level_permille = 200;
  header.unproved_duration_ms = 250;
  header.unproved_slope_permille_per_ms = 10;
  header.supply_low_mv = 8500;
  header.supply_mv_per_raw = 19.53125F;
  header.banks[0].adc_channel = 3;
  header.banks[0].limit_raw = 410;
  wire::TableEntry lift;
  lift.kind = static_cast<std::uint8_t>(wire::PointKind::bridge_motor);
  lift.port = 2;
  lift.flags = wire::entry_brake;
  lift.max_level_permille = 1000;
  lift.slope_permille_per_ms = 10;
  lift.low_switch = 1;
  wire::TableEntry bottom;
  bottom.kind = static_cast<std::uint8_t>(wire::PointKind::switch_input);
  bottom.port = 0;
  bottom.flags = wire::entry_acts_low;
  const wire::TableEntry entries[] = {lift, bottom};
  std::vector<std::uint8_t> bytes(wire::table_bytes(2));
  REQUIRE(wire::encode_table(header, entries, 2, bytes.data()) == bytes.size());
  e.check("table_header", hex(bytes.data(), wire::table_header_bytes));
  e.check("table_entry_1", hex(bytes.data() + wire::table_entry_offset(0), wire::table_entry_bytes));
  e.check("table_entry_2", hex(bytes.data() + wire::table_entry_offset(1), wire::table_entry_bytes));
  e.check("table_check", hex(bytes.data() + bytes.size() - 4, 4));
}

}  // namespace

TEST_CASE("every message has the bytes that the reference page shows, and comes back from them") {
  Examples e;
  requests(e);
  motions(e);
  replies(e);
  events(e);
  table(e);
  CHECK_MESSAGE(e.on_page.size() == static_cast<std::size_t>(e.seen), "the page has an example that nothing checks");
}

TEST_CASE("a record with a longer payload is read, its tail skipped") {
  const std::uint8_t payload[] = {2, 0xFF, 0xEE};
  wire::PointNameRequest request;
  REQUIRE(wire::decode(payload, sizeof payload, request));
  CHECK(request.point == 2);
}

TEST_CASE("a text longer than its field is refused") {
  std::uint8_t payload[80] = {};
  payload[10] = wire::max_name_bytes + 1;
  wire::PointNameReply reply;
  CHECK_FALSE(wire::decode(payload, sizeof payload, reply));
  payload[10] = wire::max_name_bytes;
  CHECK(wire::decode(payload, sizeof payload, reply));
}

TEST_CASE("the longest reply and the fullest sample fit a frame") {
  wire::StatusReply status;
  status.step.size = wire::max_step_bytes;
  wire::PointNameReply name;
  name.name.size = wire::max_name_bytes;
  wire::FrameBuilder builder;
  CHECK(wire::build(builder, 0x82, 1, status) != 0);
  CHECK(wire::build(builder, 0x83, 1, name) != 0);
  wire::Writer sample = builder.begin(wire::type_sample, 0);
  wire::encode(sample, wire::SampleHead());
  for (int bridge = 0; bridge < wire::max_bridges; ++bridge) sample.i16(0);
  for (int encoder = 0; encoder < wire::max_encoders; ++encoder) sample.u16(0);
  sample.u16(0);
  for (int channel = 0; channel < wire::max_adc_channels; ++channel) sample.u16(0);
  sample.u8(0);
  CHECK(builder.close(sample) != 0);
}

TEST_CASE("a text is cut between letters") {
  wire::Text<4> text;
  for (const char* whole : {"abcd", "ab\xC3\xBC", "\xF0\x9F\x99\x82", "a"}) {
    text.set(whole);
    CHECK(std::string(text.chars, text.size) == whole);
  }
  text.set("abc\xC3\xBC");
  CHECK(std::string(text.chars, text.size) == "abc");
  text.set("ab\xE2\x82\xAC");
  CHECK(std::string(text.chars, text.size) == "ab");
  text.set("abcde");
  CHECK(std::string(text.chars, text.size) == "abcd");
}
