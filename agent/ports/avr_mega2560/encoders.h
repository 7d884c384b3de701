// Six two-channel encoders, four counts a line, decoded in pin interrupts on any edge.
#pragma once

#include <stdint.h>

namespace ringout {
namespace mega {

void start_encoders();

// Counts since start. Ask for each encoder at least once a second, or a fast one wraps unseen.
int32_t encoder_count_of(uint8_t encoder);

// Interrupts taken by encoders so far, modulo 256; for the load figure.
uint8_t encoder_interrupts();

}  // namespace mega
}  // namespace ringout
