// Puts a whole, sealed table into an EEPROM image, as a load over the wire would leave it: for simulated controllers
// that start with a table.
#pragma once

#include <stdint.h>
#include <string.h>

#include "agent/table_store.h"

namespace ringout {
namespace agent {

// `image` has eeprom_min_bytes bytes; the table goes into the first slot, the second is emptied.
inline void put_table(uint8_t* image, const uint8_t* table, uint16_t length) {
  memset(image + eeprom_slot_0_at, 0xFF, 2u * eeprom_slot_bytes);
  write_seal(image + eeprom_slot_0_at, 1, length,
             wire::crc32(table, static_cast<uint16_t>(length - wire::table_check_bytes)));
  memcpy(image + eeprom_slot_0_at + eeprom_seal_bytes, table, length);
}

}  // namespace agent
}  // namespace ringout
