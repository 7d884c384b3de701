// The chip's EEPROM of 4 KB. A byte takes 3.4 ms to write; nothing waits for it.
#pragma once

#include <stdint.h>

namespace ringout {
namespace mega {

constexpr uint16_t eeprom_size = 4096;

// False while a byte is still being written.
bool eeprom_is_ready();

// Waits until the EEPROM is ready, at most 3.4 ms: too long for a tick.
void read_eeprom(uint16_t at, uint8_t* to, uint16_t count);

// Begins to write one byte; false while the last one is still being written. A byte that is there already is left.
bool write_eeprom(uint16_t at, uint8_t byte);

}  // namespace mega
}  // namespace ringout
