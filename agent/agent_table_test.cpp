// The point table: loading, refusing, and a supply cut at any byte.
#include <doctest/doctest.h>

#include <algorithm>

#include "agent/bench_board.h"

using namespace ringout;
using agent::Bench;
using wire::Status;
using wire::TableState;

namespace {

std::uint32_t fingerprint_of(const std::vector<std::uint8_t>& table) {
  return wire::crc32(table.data(), static_cast<std::uint16_t>(table.size() - wire::table_check_bytes));
}

wire::HelloReply hello(Bench& bench) {
  return bench.ask<wire::HelloReply>(wire::Hello());
}

}  // namespace

TEST_CASE("a table is loaded, told by its fingerprint, read back byte for byte, and still there after a reset") {
  Bench bench;
  const auto table = bench.table();
  CHECK(hello(bench).table_fp == 0);
  REQUIRE(bench.load(table) == Status::ok);
  for (int round = 0; round < 2; ++round) {
    CHECK(hello(bench).table_fp == fingerprint_of(table));
    CHECK(hello(bench).table_state == static_cast<int>(TableState::valid));
    std::vector<std::uint8_t> back;
    while (back.size() < table.size()) {
      wire::TableRead request;
      request.offset = static_cast<std::uint16_t>(back.size());
      const std::size_t left = table.size() - back.size();
      request.length = static_cast<std::uint8_t>(left < wire::max_table_chunk ? left : wire::max_table_chunk);
      bench.receive(bench.framed(wire::type_table_read, request));
      bench.run(1);
      const auto frames = bench.take_frames();
      REQUIRE(frames.size() == 1);
      wire::TableReadReply reply;
      REQUIRE(wire::decode(frames[0].data() + 2, static_cast<std::uint16_t>(frames[0].size() - 2), reply));
      REQUIRE(reply.bytes.size == request.length);
      back.insert(back.end(), reply.bytes.bytes, reply.bytes.bytes + reply.bytes.size);
    }
    CHECK(back == table);
    bench.reset();
  }
  wire::TableRead past;
  past.offset = static_cast<std::uint16_t>(table.size() - 1);
  past.length = 2;
  CHECK(bench.status_of(past) == Status::out_of_bounds);
}

TEST_CASE("the largest table fits, on an EEPROM as slow as the chip's") {
  Bench bench;
  bench.board.eeprom_byte_us = 3400;
  while (bench.entries.size() < wire::max_points) {
    wire::TableEntry light;
    light.kind = static_cast<std::uint8_t>(wire::PointKind::light);
    light.port = 0;
    bench.entries.push_back(light);
  }
  REQUIRE(bench.load(bench.table()) == Status::ok);
  CHECK(hello(bench).table_fp == fingerprint_of(bench.table()));
  REQUIRE(bench.load(bench.table()) == Status::ok);  // so that the next one has a seal to break
  wire::TableBegin begin;
  begin.length = wire::table_bytes(1);
  REQUIRE(bench.status_of(begin) == Status::ok);
  wire::TableRead read;
  read.length = 1;
  CHECK(bench.status_of(read) == Status::busy);
  CHECK_MESSAGE(bench.board.eeprom_waits == 0, "no tick stands still until a byte is written");
}

TEST_CASE("a supply cut after any byte of a load leaves the old table or the new one, whole") {
  Bench first;
  const auto old_table = first.table();
  REQUIRE(first.load(old_table) == Status::ok);
  const auto image = first.board.eeprom;
  first.header.supply_low_mv = 9000;
  first.entries[0].max_level_permille = 700;
  const auto new_table = first.table();
  int kept_old = 0;
  int has_new = 0;
  for (int cut = 0; cut < 600; ++cut) {
    CAPTURE(cut);
    Bench bench;
    bench.board.eeprom = image;
    bench.reset();
    bench.board.eeprom_writes_left = cut;
    bench.load(new_table);
    const bool all_written = bench.board.eeprom_writes_left > 0;
    bench.board.eeprom_writes_left = -1;
    bench.reset();
    const wire::HelloReply reply = hello(bench);
    CHECK(reply.table_state == static_cast<int>(TableState::valid));
    if (reply.table_fp == fingerprint_of(new_table)) {
      ++has_new;
    } else {
      CHECK(reply.table_fp == fingerprint_of(old_table));
      ++kept_old;
    }
    if (all_written) break;
  }
  CHECK(kept_old > 200);
  CHECK(has_new >= 1);
}

TEST_CASE("the newest table counts, over many loads, in both slots") {
  Bench bench;
  for (int i = 0; i < 7; ++i) {
    bench.header.supply_low_mv = static_cast<std::uint16_t>(8000 + i);
    REQUIRE(bench.load(bench.table()) == Status::ok);
    CHECK(hello(bench).table_fp == fingerprint_of(bench.table()));
    bench.reset();
    CHECK(hello(bench).table_fp == fingerprint_of(bench.table()));
  }
}

TEST_CASE("tables that do not fit are refused with the reason, and the old one stays in force") {
  struct Case {
    const char* name;
    void (*change)(Bench& b);
    Status refused;
    int detail = 0;
  };
  const Case cases[] = {
      {"other names", [](Bench& b) { b.header.program_fp ^= 1; }, Status::table_refused_names},
      {"other board", [](Bench& b) { b.header.board_fp ^= 1; }, Status::table_refused_board},
      {"newer layout", [](Bench& b) { b.header.layout_version = 2; }, Status::table_refused_version},
      {"no table", [](Bench& b) { b.header.magic = 1; }, Status::table_refused_check},
      {"port beyond the board", [](Bench& b) { b.entries[0].port = 8; }, Status::table_refused_content, 0},
      {"two outputs on one bridge", [](Bench& b) { b.entries[1].port = 0; }, Status::table_refused_content, 1},
      {"end switch that is none", [](Bench& b) { b.entries[0].low_switch = 5; }, Status::table_refused_content, 0},
      {"end switch beyond the points", [](Bench& b) { b.entries[0].low_switch = 60; }, Status::table_refused_content,
       0},
      {"travel by a switch", [](Bench& b) { b.entries[0].travel_sensor = 3; }, Status::table_refused_content, 0},
      {"level above one", [](Bench& b) { b.entries[2].max_level_permille = 1001; }, Status::table_refused_content, 2},
      {"unknown kind", [](Bench& b) { b.entries[2].kind = 8; }, Status::table_refused_content, 2},
      {"supply scale 0", [](Bench& b) { b.header.supply_mv_per_raw = 0.0f; }, Status::table_refused_content,
       wire::no_point},
      {"no slope while unproved", [](Bench& b) { b.header.unproved_slope_permille_per_ms = 0; },
       Status::table_refused_content, wire::no_point},
      {"supply channel beyond the chip", [](Bench& b) { b.header.supply_adc = 8; }, Status::table_refused_content,
       wire::no_point},
  };
  for (const Case& c : cases) {
    CAPTURE(c.name);
    Bench bench;
    const auto good = bench.table();
    REQUIRE(bench.load(good) == Status::ok);
    c.change(bench);
    CHECK(bench.load(bench.table()) == c.refused);
    CHECK(bench.last_detail == c.detail);
    bench.run(100);
    CHECK(hello(bench).table_fp == fingerprint_of(good));
    bench.permit();
    CHECK(bench.last_status == Status::ok);
    CHECK(bench.drive(0, 300) == Status::ok);
    bench.reset();
    CHECK(hello(bench).table_fp == fingerprint_of(good));
  }
}

TEST_CASE("a table damaged on the way or in the EEPROM is never used") {
  Bench bench;
  auto table = bench.table();
  table[70] ^= 0x10;
  CHECK_MESSAGE(bench.load(table) == Status::table_refused_check, "its own check is wrong");
  table = bench.table();
  table.back() ^= 0x10;
  CHECK_MESSAGE(bench.load(table) == Status::table_refused_check, "its own check is damaged");
  table = bench.table();
  REQUIRE(bench.load(table) == Status::ok);
  const auto image = bench.board.eeprom;
  for (std::size_t i = 0; i < table.size() + agent::eeprom_seal_bytes; i += 7) {
    CAPTURE(i);
    bench.board.eeprom = image;
    bench.board.eeprom[agent::eeprom_slot_1_at + i] ^= 0x04;
    bench.reset();
    CHECK(hello(bench).table_fp == 0);
    bench.permit();
    CHECK(bench.last_status == Status::no_table);
  }
}

TEST_CASE("another whole table than the one that was announced is refused") {
  Bench bench;
  const auto announced = bench.table();
  bench.header.supply_low_mv = 9000;
  const auto sent = bench.table();
  wire::TableBegin begin;
  begin.length = static_cast<std::uint16_t>(announced.size());
  begin.crc = fingerprint_of(announced);
  REQUIRE(bench.status_of(begin) == Status::ok);
  for (std::size_t at = 0; at < sent.size(); at += wire::max_table_chunk) {
    wire::TableChunk chunk;
    chunk.offset = static_cast<std::uint16_t>(at);
    chunk.bytes.bytes = sent.data() + at;
    chunk.bytes.size = static_cast<std::uint16_t>(std::min<std::size_t>(wire::max_table_chunk, sent.size() - at));
    bench.run(200);
    REQUIRE(bench.status_of(chunk) == Status::ok);
  }
  bench.run(200);
  REQUIRE(bench.status_of(wire::TableCommit()) == Status::busy);
  bench.run(200);
  CHECK(bench.status_of(wire::TableCommit()) == Status::table_refused_check);
}

TEST_CASE(
    "where the newest table is damaged no older one stands in for it, and a load mends that, wherever it is cut") {
  Bench first;
  const auto older = first.table();
  REQUIRE(first.load(older) == Status::ok);
  first.header.supply_low_mv = 9000;
  const auto newest = first.table();
  REQUIRE(first.load(newest) == Status::ok);
  // The first load of all went into the second slot.
  first.board.eeprom[agent::eeprom_slot_0_at + agent::eeprom_seal_bytes + 30] ^= 0x04;
  first.reset();
  REQUIRE(hello(first).table_state == static_cast<int>(TableState::damaged));
  REQUIRE(hello(first).table_fp == 0);
  first.header.supply_low_mv = 9100;
  const auto loaded = first.table();
  const auto image = first.board.eeprom;
  int cut = 0;
  for (bool all_written = false; !all_written; ++cut) {
    REQUIRE(cut < 600);
    CAPTURE(cut);
    Bench bench;
    bench.board.eeprom = image;
    bench.reset();
    bench.board.eeprom_writes_left = cut;
    bench.load(loaded);
    all_written = bench.board.eeprom_writes_left > 0;
    bench.board.eeprom_writes_left = -1;
    bench.reset();
    const wire::HelloReply reply = hello(bench);
    const bool damaged = reply.table_state == static_cast<int>(TableState::damaged) && reply.table_fp == 0;
    CHECK((damaged || reply.table_fp == fingerprint_of(loaded)));
    if (all_written) CHECK_FALSE(damaged);
    REQUIRE(bench.load(newest) == Status::ok);
    bench.reset();
    CHECK(hello(bench).table_fp == fingerprint_of(newest));
  }
  CHECK(cut > 20);
}

TEST_CASE("after a build with other names or for another board the kept table is not used") {
  for (const bool names : {true, false}) {
    Bench bench;
    REQUIRE(bench.load(bench.table()) == Status::ok);
    (names ? bench.firmware.program_fp : bench.firmware.board_fp) ^= 0x100;
    bench.reset();
    const TableState state = names ? TableState::refused_names : TableState::refused_board;
    CHECK(hello(bench).table_state == static_cast<int>(state));
    CHECK(hello(bench).table_fp == 0);
    bench.permit();
    CHECK(bench.last_status == Status::no_table);
  }
}

TEST_CASE("a load is refused while anything moves, and steps out of order are refused") {
  Bench bench;
  CHECK(bench.status_of(wire::TableCommit()) == Status::not_supported);
  wire::TableChunk chunk;
  const std::uint8_t byte = 1;
  chunk.bytes.bytes = &byte;
  chunk.bytes.size = 1;
  CHECK(bench.status_of(chunk) == Status::table_refused_check);
  REQUIRE(bench.load(bench.table()) == Status::ok);
  bench.permit();
  REQUIRE(bench.drive(0, 300) == Status::ok);
  wire::TableBegin begin;
  begin.length = wire::table_bytes(1);
  CHECK(bench.status_of(begin) == Status::moving);
  CHECK(bench.status_of(wire::TableCommit()) == Status::moving);
  CHECK(bench.board.levels[0] != 0);
  bench.status_of(wire::Stop());
  begin.length = wire::max_table_bytes + 1;
  CHECK(bench.status_of(begin) == Status::out_of_bounds);
  begin.length = wire::table_bytes(1);
  REQUIRE(bench.status_of(begin) == Status::ok);
  bench.run(20);
  chunk.offset = 5;
  CHECK(bench.status_of(chunk) == Status::out_of_bounds);
  chunk.offset = 0xFFFF;
  CHECK(bench.status_of(chunk) == Status::out_of_bounds);
  CHECK_MESSAGE(bench.status_of(wire::TableCommit()) == Status::table_refused_check, "bytes are missing");
  bench.permit();
  CHECK_MESSAGE(bench.last_status == Status::ok, "the table in use was never touched");
}
