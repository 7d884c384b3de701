#include "agent/ports/avr_mega2560/eeprom.h"

#include <avr/io.h>
#include <util/atomic.h>

namespace ringout {
namespace mega {
namespace {

uint8_t read_byte(uint16_t at) {
  EEAR = at;
  EECR = static_cast<uint8_t>(EECR | (1 << EERE));
  return EEDR;
}

}  // namespace

bool eeprom_is_ready() {
  return (EECR & (1 << EEPE)) == 0;
}

void read_eeprom(uint16_t at, uint8_t* to, uint16_t count) {
  while (!eeprom_is_ready()) {
  }
  for (uint16_t i = 0; i < count && at + i < eeprom_size; ++i) to[i] = read_byte(static_cast<uint16_t>(at + i));
}

bool write_eeprom(uint16_t at, uint8_t byte) {
  if (!eeprom_is_ready()) return false;
  if (at >= eeprom_size || read_byte(at) == byte) return true;
  EEDR = byte;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {  // the second bit must follow the first within four cycles
    EECR = 1 << EEMPE;                 // erase and write in one operation
    EECR = (1 << EEMPE) | (1 << EEPE);
  }
  return true;
}

}  // namespace mega
}  // namespace ringout
