// All limits of the agent in one place, with the relations that must hold between them.
#pragma once

#include <stdint.h>

#include "wire/messages.h"
#include "wire/point_table.h"
#include "wire/protocol.h"

namespace ringout {
namespace agent {

constexpr uint16_t tick_us = 1000;
constexpr uint16_t receive_ring_bytes = 256;
constexpr uint16_t receive_window = 240;         // announced in the hello: most bytes on the way
constexpr uint16_t receive_bytes_per_tick = 48;  // taken from the ring in one tick
constexpr uint16_t frames_time_us = 250;         // after so long in one tick no further frame is taken
constexpr uint16_t transmit_ring_bytes = 512;    // at least; the board port owns it
// Ticks in a row beyond a limit. The first board's converter has a new reading of a channel every 1.7 ms, so that two
// ticks may look at the same one; three see at least two, and one noisy reading turns nothing off.
constexpr uint16_t supply_low_ticks = 3;
constexpr uint16_t bank_current_ticks = 3;
constexpr uint16_t bump_longest_ms = 2000;  // also on a proved port
constexpr uint16_t eeprom_min_bytes = 4096;
constexpr uint16_t eeprom_identity_at = 0;
constexpr uint16_t eeprom_slot_bytes = 1984;
constexpr uint16_t eeprom_slot_0_at = 128;
constexpr uint16_t eeprom_slot_1_at = eeprom_slot_0_at + eeprom_slot_bytes;
constexpr uint16_t eeprom_seal_bytes = 16;      // at the start of a slot; the table follows
constexpr uint16_t verify_bytes_per_tick = 16;  // read back from the EEPROM in one tick

static_assert(receive_window < receive_ring_bytes, "the window never fills the ring");
static_assert(receive_ring_bytes == 256, "the ring's indices wrap as bytes");
static_assert(receive_window >= 2 * wire::max_encoded_bytes - 20, "nearly two of the longest frames on the way");
static_assert(transmit_ring_bytes >= 3 * wire::max_encoded_bytes, "a reply, an event and a sample");
static_assert(eeprom_slot_bytes >= eeprom_seal_bytes + wire::max_table_bytes, "a full table fits a slot");
static_assert(eeprom_slot_1_at + eeprom_slot_bytes <= eeprom_min_bytes, "both slots fit the EEPROM");

}  // namespace agent
}  // namespace ringout
