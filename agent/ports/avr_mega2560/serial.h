// USART0 at 1 Mbaud, 8 data bits, no parity, one stop bit, by interrupts and two rings. The receive interrupt does two
// things only: it stores the byte, and it matches the stop frame and turns the bridges off itself when it is complete
// (bridges.h). The agent sees the same bytes in the next tick; handing each one to it in the interrupt would cost more
// time than a byte takes on the line.
#pragma once

#include <stdint.h>

namespace ringout {
namespace mega {

// Bytes the receive ring holds; the host is told a window below this.
constexpr uint16_t receive_capacity = 255;
constexpr uint16_t transmit_capacity = 511;

void start_serial();

// Takes the oldest received byte; false when there is none.
bool take_received(uint8_t& byte);

// Room in the transmit ring.
uint16_t transmit_room();

// Queues all of the bytes, or none of them when there is no room; true when queued.
bool queue_transmit(const uint8_t* bytes, uint16_t size);

// Bytes lost in the ring or in the USART, and bytes with a frame error, since the last call.
uint8_t take_lost_bytes();

// Received and sent so far, modulo 256; for the load figure.
uint8_t received_count();
uint8_t sent_count();

}  // namespace mega
}  // namespace ringout
