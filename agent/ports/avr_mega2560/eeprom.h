// The chip's EEPROM of 4 KB. A byte takes 3.4 ms to write; nothing waits for it.
#pragma once

#include <stdint.h>

namespace ringout {
namespace mega {

constexpr uint16_t eeprom_size = 4096;

// Waits for a byte that is still being written, at most 3.4 ms.
void read_eeprom(uint16_t at, uint8_t* to, uint16_t count);

// Begins to write one byte; false while the last one is still being written. A byte that is there already is left.
bool write_eeprom(uint16_t at, uint8_t byte);

}  // namespace mega
}  // namespace ringout
