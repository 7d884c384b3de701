// The point table in the EEPROM: two slots, each with a seal {generation, length, CRC-32 of the table before its own
// check, CRC-32 of the seal} before the table's bytes. A new table goes into the slot that is not in use and is sealed
// last, so that a supply cut at any byte leaves the old table or the new one, whole. The newest sealed table counts;
// where its bytes are damaged none does, and not an older one. A damaged seal is not told from one that was broken for
// a load: then the older table counts.
//
// Loading: begin, chunks in order, commit. The EEPROM is slow: chunk and commit answer `busy` until the last one is
// done, and the host asks again; both may be repeated. Everything is done in small pieces, one a tick.
#pragma once

#include <stdint.h>

#include "agent/board.h"
#include "agent/limits.h"
#include "agent/rules.h"
#include "wire/messages.h"
#include "wire/point_table.h"

namespace ringout {
namespace agent {

// Writes a seal (eeprom_seal_bytes).
void write_seal(uint8_t* to, uint32_t generation, uint16_t length, uint32_t crc);

class TableStore {
 public:
  // Finds the newest whole table and takes its rules; not in pieces, before the tick starts.
  void start(const Board& board, const Firmware& firmware);
  // One piece of whatever is under way.
  void tick(const Board& board, const Firmware& firmware);

  wire::Status begin(const wire::TableBegin& request, const Board& board);
  wire::Status chunk(const wire::TableChunk& request);
  wire::Status commit();
  // Bytes of the table in use; false where there are not that many. Only while the EEPROM is ready.
  bool read(const Board& board, uint16_t offset, uint8_t length, uint8_t* to) const;

  const Rules& rules() const { return rules_; }
  wire::TableState state() const { return state_; }
  bool in_use() const { return in_use_.whole; }
  bool busy() const { return phase_ != Phase::idle && phase_ != Phase::receiving; }
  // Of the last load that was refused for its content; no_point: its header.
  uint8_t refused_entry() const { return refused_entry_; }

 private:
  enum class Phase : uint8_t {
    idle,
    wiping,     // the unused slot's seal is being broken
    receiving,  // waiting for chunks
    writing,    // a chunk is going into the EEPROM
    checking,   // reading back, CRC
    taking,     // header and entries, one a tick
    sealing,
    restoring,  // the new table was refused: the rules of the one in use are taken again
  };
  struct Seal {
    uint32_t generation = 0;
    uint16_t length = 0;
    uint32_t crc = 0;
    bool whole = false;
  };

  static uint16_t slot_at(uint8_t slot) { return slot == 0 ? eeprom_slot_0_at : eeprom_slot_1_at; }
  static uint16_t table_at(uint8_t slot) { return static_cast<uint16_t>(slot_at(slot) + eeprom_seal_bytes); }
  static Seal read_seal(const Board& board, uint8_t slot);
  static bool table_holds(const Board& board, uint8_t slot, const Seal& seal);

  void write_piece(const Board& board);
  void check_piece(const Board& board);
  void take_piece(const Board& board, const Firmware& firmware);
  void begin_taking(uint8_t slot, Phase phase);
  void begin_sealing();
  void queue(uint16_t at, uint8_t count);
  void refuse(wire::Status why, uint8_t refused_entry);
  void finish_sealing(const Board& board);
  void finish_taking(const Board& board);

  Rules rules_;
  wire::TableState state_ = wire::TableState::none;
  Phase phase_ = Phase::idle;
  wire::Status outcome_ = wire::Status::not_supported;  // of the last load
  Seal in_use_;
  uint8_t slot_in_use_ = 0;
  uint8_t slot_taken_ = 0;

  wire::TableBegin announced_;
  uint16_t received_ = 0;
  uint16_t checked_ = 0;
  wire::Crc32 crc_;  // of all before the table's own check
  uint8_t tail_[wire::table_check_bytes] = {};
  uint8_t entry_ = 0;
  uint8_t refused_entry_ = wire::no_point;
  bool header_taken_ = false;

  uint8_t pending_[wire::max_table_chunk] = {};
  uint16_t pending_at_ = 0;
  uint8_t pending_count_ = 0;
  uint8_t pending_done_ = 0;
};

}  // namespace agent
}  // namespace ringout
