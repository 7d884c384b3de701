#include "agent/table_store.h"

namespace ringout {
namespace agent {

using wire::Status;
using wire::TableState;

static_assert(eeprom_seal_bytes <= wire::max_table_chunk, "a seal is queued like a chunk");

void write_seal(uint8_t* to, uint32_t generation, uint16_t length, uint32_t crc) {
  wire::Writer seal(to, eeprom_seal_bytes);
  seal.u32(generation);
  seal.u16(length);
  seal.u16(0);
  seal.u32(crc);
  seal.u32(wire::crc32(to, eeprom_seal_bytes - 4));
}

TableStore::Seal TableStore::read_seal(const Board& board, uint8_t slot) {
  uint8_t bytes[eeprom_seal_bytes];
  board.eeprom_read(board.context, slot_at(slot), bytes, eeprom_seal_bytes);
  Seal seal;
  uint16_t reserved;
  uint32_t check;
  wire::Reader from(bytes, eeprom_seal_bytes);
  from.u32(seal.generation);
  from.u16(seal.length);
  from.u16(reserved);
  from.u32(seal.crc);
  from.u32(check);
  const uint16_t covered = eeprom_seal_bytes - 4;
  seal.whole = check == wire::crc32(bytes, covered) && seal.length >= wire::table_bytes(0) &&
               seal.length <= wire::max_table_bytes;
  return seal;
}

bool TableStore::table_holds(const Board& board, uint8_t slot, const Seal& seal) {
  wire::Crc32 crc;
  uint16_t at = table_at(slot);
  for (uint16_t i = 0; i < seal.length - wire::table_check_bytes; ++i, ++at) {
    uint8_t byte;
    board.eeprom_read(board.context, at, &byte, 1);
    crc.add(byte);
  }
  uint8_t check[wire::table_check_bytes];
  board.eeprom_read(board.context, at, check, sizeof check);
  uint32_t stored;
  wire::Reader(check, sizeof check).u32(stored);
  return crc.value() == seal.crc && stored == seal.crc;
}

void TableStore::start(const Board& board, const Firmware& firmware) {
  const Seal found[2] = {read_seal(board, 0), read_seal(board, 1)};
  const bool second_is_newer = static_cast<int32_t>(found[1].generation - found[0].generation) > 0;
  slot_in_use_ = found[1].whole && (!found[0].whole || second_is_newer) ? 1 : 0;
  if (!found[slot_in_use_].whole) return;
  in_use_ = found[slot_in_use_];
  if (!table_holds(board, slot_in_use_, in_use_)) {
    // The next load goes over the older one and counts on from this one, which stays sealed until then: no cut on the
    // way leaves an older table as the newest.
    in_use_.whole = false;
    state_ = TableState::damaged;
    return;
  }
  begin_taking(slot_in_use_, Phase::restoring);
  for (uint8_t i = 0; i <= wire::max_points + 1 && phase_ != Phase::idle; ++i) take_piece(board, firmware);
}

void TableStore::tick(const Board& board, const Firmware& firmware) {
  if (phase_ == Phase::idle || phase_ == Phase::receiving || !board.eeprom_ready(board.context)) return;
  switch (phase_) {
    case Phase::wiping:
    case Phase::writing:
    case Phase::sealing:
      write_piece(board);
      break;
    case Phase::checking:
      check_piece(board);
      break;
    case Phase::taking:
    case Phase::restoring:
      take_piece(board, firmware);
      break;
    case Phase::idle:
    case Phase::receiving:
      break;
  }
}

void TableStore::queue(uint16_t at, uint8_t count) {
  pending_at_ = at;
  pending_count_ = count;
  pending_done_ = 0;
}

Status TableStore::begin(const wire::TableBegin& request, const Board& board) {
  if (busy()) return Status::busy;
  if (request.length < wire::table_bytes(0) || request.length > wire::max_table_bytes) return Status::out_of_bounds;
  if (board.eeprom_bytes < eeprom_min_bytes) return Status::not_supported;
  announced_ = request;
  received_ = 0;
  outcome_ = Status::busy;
  const uint8_t unused = static_cast<uint8_t>(1 - slot_in_use_);
  memset(pending_, 0xFF, eeprom_seal_bytes);
  queue(slot_at(unused), eeprom_seal_bytes);
  phase_ = Phase::wiping;
  return Status::ok;
}

Status TableStore::chunk(const wire::TableChunk& request) {
  if (phase_ == Phase::wiping || phase_ == Phase::writing) return Status::busy;
  if (phase_ != Phase::receiving) return Status::table_refused_check;
  const uint32_t end = static_cast<uint32_t>(request.offset) + request.bytes.size;
  if (request.bytes.size == 0 || request.bytes.size > wire::max_table_chunk) return Status::out_of_bounds;
  if (end <= received_) return Status::ok;  // repeated, because its reply was lost
  if (request.offset != received_ || end > announced_.length) return Status::out_of_bounds;
  memcpy(pending_, request.bytes.bytes, request.bytes.size);
  queue(static_cast<uint16_t>(table_at(static_cast<uint8_t>(1 - slot_in_use_)) + request.offset),
        static_cast<uint8_t>(request.bytes.size));
  received_ = static_cast<uint16_t>(end);
  phase_ = Phase::writing;
  return Status::ok;
}

Status TableStore::commit() {
  if (busy()) return Status::busy;
  if (phase_ == Phase::idle) return outcome_ == Status::busy ? Status::table_refused_check : outcome_;
  if (received_ != announced_.length) {
    phase_ = Phase::idle;
    outcome_ = Status::table_refused_check;
    return outcome_;
  }
  checked_ = 0;
  crc_ = wire::Crc32();
  phase_ = Phase::checking;
  return Status::busy;
}

void TableStore::write_piece(const Board& board) {
  // Bytes that are right already cost no write, but only so many are looked at in one tick.
  for (uint8_t looked = 0; looked < verify_bytes_per_tick && pending_done_ < pending_count_; ++looked) {
    const uint16_t at = static_cast<uint16_t>(pending_at_ + pending_done_);
    uint8_t there;
    board.eeprom_read(board.context, at, &there, 1);
    const bool right = there == pending_[pending_done_];
    if (!right && !board.eeprom_write(board.context, at, pending_[pending_done_])) return;
    pending_done_ = static_cast<uint8_t>(pending_done_ + 1);
    if (!right) return;
  }
  if (pending_done_ < pending_count_) return;
  if (phase_ == Phase::sealing) {
    finish_sealing(board);
  } else {
    phase_ = Phase::receiving;
  }
}

void TableStore::finish_sealing(const Board& board) {
  const uint8_t sealed = static_cast<uint8_t>(1 - slot_in_use_);
  const Seal seal = read_seal(board, sealed);
  if (!seal.whole) {  // a worn cell: the table in use stays
    phase_ = Phase::taking;
    refuse(Status::table_refused_check, wire::no_point);
    return;
  }
  slot_in_use_ = sealed;
  in_use_ = seal;
  outcome_ = Status::ok;
  finish_taking(board);
}

void TableStore::check_piece(const Board& board) {
  const uint16_t at = table_at(static_cast<uint8_t>(1 - slot_in_use_));
  const uint16_t inner = static_cast<uint16_t>(announced_.length - wire::table_check_bytes);
  for (uint8_t i = 0; i < verify_bytes_per_tick && checked_ < announced_.length; ++i) {
    uint8_t byte;
    board.eeprom_read(board.context, static_cast<uint16_t>(at + checked_), &byte, 1);
    if (checked_ < inner) {
      crc_.add(byte);
    } else {
      tail_[checked_ - inner] = byte;
    }
    checked_ = static_cast<uint16_t>(checked_ + 1);
  }
  if (checked_ < announced_.length) return;
  uint32_t stored;
  wire::Reader(tail_, sizeof tail_).u32(stored);
  if (crc_.value() != announced_.crc || stored != announced_.crc) {
    outcome_ = Status::table_refused_check;
    phase_ = Phase::idle;
    return;
  }
  begin_taking(static_cast<uint8_t>(1 - slot_in_use_), Phase::taking);
}

void TableStore::begin_taking(uint8_t slot, Phase phase) {
  slot_taken_ = slot;
  header_taken_ = false;
  entry_ = 0;
  rules_.clear();
  phase_ = phase;
}

// Header or one entry. The rules of the new table stand in the only set there is; until it is sealed they are not
// valid.
void TableStore::take_piece(const Board& board, const Firmware& firmware) {
  const uint16_t at = table_at(slot_taken_);
  Status status = Status::ok;
  if (!header_taken_) {
    uint8_t bytes[wire::table_header_bytes];
    board.eeprom_read(board.context, at, bytes, wire::table_header_bytes);
    wire::TableHeader header;
    wire::decode(bytes, sizeof bytes, header);
    status = rules_.take_header(header, board, firmware);
    const uint16_t length = phase_ == Phase::taking ? announced_.length : in_use_.length;
    if (status == Status::ok && header.length != length) status = Status::table_refused_check;
    header_taken_ = status == Status::ok;
  } else if (entry_ < rules_.count()) {
    status = rules_.take_entry(board, at, entry_);
    if (status == Status::ok) entry_ = static_cast<uint8_t>(entry_ + 1);
  } else if (phase_ == Phase::taking) {
    begin_sealing();
  } else {
    finish_taking(board);
  }
  if (status != Status::ok) refuse(status, header_taken_ ? entry_ : wire::no_point);
}

void TableStore::begin_sealing() {
  write_seal(pending_, in_use_.generation + 1, announced_.length, announced_.crc);
  queue(slot_at(static_cast<uint8_t>(1 - slot_in_use_)), eeprom_seal_bytes);
  phase_ = Phase::sealing;
}

void TableStore::refuse(Status why, uint8_t refused_entry) {
  rules_.clear();
  if (phase_ == Phase::taking) {
    outcome_ = why;
    refused_entry_ = refused_entry;
    if (in_use_.whole) {
      begin_taking(slot_in_use_, Phase::restoring);
      return;
    }
  } else {
    state_ = why == Status::table_refused_names     ? TableState::refused_names
             : why == Status::table_refused_board   ? TableState::refused_board
             : why == Status::table_refused_version ? TableState::refused_version
             : why == Status::table_refused_content ? TableState::refused_content
                                                    : TableState::damaged;
  }
  phase_ = Phase::idle;
}

// The rules are those of a whole, sealed table: from here on they count. The fingerprint is the table's own check.
void TableStore::finish_taking(const Board& board) {
  phase_ = Phase::idle;
  state_ = TableState::valid;
  uint8_t bytes[wire::table_check_bytes] = {};
  read(board, static_cast<uint16_t>(in_use_.length - wire::table_check_bytes), wire::table_check_bytes, bytes);
  uint32_t fingerprint;
  wire::Reader(bytes, sizeof bytes).u32(fingerprint);
  rules_.make_valid(fingerprint);
}

bool TableStore::read(const Board& board, uint16_t offset, uint8_t length, uint8_t* to) const {
  if (!in_use_.whole || static_cast<uint32_t>(offset) + length > in_use_.length) return false;
  board.eeprom_read(board.context, static_cast<uint16_t>(table_at(slot_in_use_) + offset), to, length);
  return true;
}

}  // namespace agent
}  // namespace ringout
