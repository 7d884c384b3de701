#include "agent/ports/avr_mega2560/serial.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "agent/ports/avr_mega2560/bridges.h"
#include "agent/ports/avr_mega2560/pins.h"
#include "wire/protocol.h"

namespace ringout {
namespace mega {
namespace {

// One side writes each index. Those of the receive ring are single bytes and wrap with it; those of the transmit ring
// are two bytes, so the tick reads and writes them with interrupts locked.
uint8_t received[256];
uint8_t to_send[transmit_capacity + 1];
volatile uint8_t receive_tail;
volatile uint16_t send_head;
volatile uint16_t send_tail;
volatile uint8_t sent;
volatile uint8_t lost;

// The two variables of the receive interrupt live in I/O registers, where they cost one cycle instead of two.
#define receive_head GPIOR1
#define stop_matched GPIOR2

constexpr uint8_t stop_frame[wire::stop_frame_bytes] = {
    wire::stop_frame_byte(0), wire::stop_frame_byte(1), wire::stop_frame_byte(2), wire::stop_frame_byte(3),
    wire::stop_frame_byte(4), wire::stop_frame_byte(5), wire::stop_frame_byte(6), wire::stop_frame_byte(7)};

constexpr uint8_t receiving = (1 << RXCIE0) | (1 << RXEN0) | (1 << TXEN0);
constexpr uint8_t receiving_and_sending = receiving | (1 << UDRIE0);

static_assert((transmit_capacity & (transmit_capacity + 1)) == 0, "the ring wraps by a mask");
static_assert(cpu_hz / (8 * line_rate_baud) == 2, "UBRR below is for 1 Mbaud in double speed");

}  // namespace

void start_serial() {
  receive_head = 0;
  stop_matched = 0;
  UCSR0A = 1 << U2X0;  // before UBRR
  UCSR0C = (1 << UCSZ01) | (1 << UCSZ00);
  UBRR0 = cpu_hz / (8 * line_rate_baud) - 1;
  PORTE = static_cast<uint8_t>(PORTE | (1 << PE0));  // idle high when nothing is plugged in
  UCSR0B = receiving;
}

bool take_received(uint8_t& byte) {
  const uint8_t tail = receive_tail;
  if (tail == receive_head) return false;
  byte = received[tail];
  receive_tail = static_cast<uint8_t>(tail + 1);
  return true;
}

uint16_t transmit_room() {
  uint16_t room = 0;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    room = static_cast<uint16_t>(send_tail - send_head - 1) & transmit_capacity;
  }
  return room;
}

bool queue_transmit(const uint8_t* bytes, uint16_t size) {
  if (size == 0 || size > transmit_room()) return size == 0;
  uint16_t head = send_head;  // only written here
  for (uint16_t i = 0; i < size; ++i) {
    to_send[head] = bytes[i];
    head = static_cast<uint16_t>(head + 1) & transmit_capacity;
  }
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    send_head = head;
    UCSR0B = receiving_and_sending;
  }
  return true;
}

uint8_t take_lost_bytes() {
  uint8_t count = 0;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    count = lost;
    lost = 0;
  }
  return count;
}

uint8_t received_count() {
  return receive_head;
}
uint8_t sent_count() {
  return sent;
}

// A byte every 160 cycles: no calls, no loops. The status register goes with the byte and is read before it.
ISR(USART0_RX_vect) {
  const uint8_t errors = UCSR0A & ((1 << FE0) | (1 << DOR0));
  const uint8_t byte = UDR0;
  const uint8_t head = receive_head;
  const uint8_t next = static_cast<uint8_t>(head + 1);
  received[head] = byte;
  if (next == receive_tail || errors) {
    if (lost != 0xFF) lost = static_cast<uint8_t>(lost + 1);
  }
  if (next != receive_tail) receive_head = next;

  uint8_t matched = stop_matched;
  if (byte == stop_frame[matched]) {
    matched = static_cast<uint8_t>(matched + 1);
    if (matched == wire::stop_frame_bytes) {
      matched = 0;
      bridges_off_in_interrupt();
    }
  } else {
    matched = byte == stop_frame[0] ? 1 : 0;
  }
  stop_matched = matched;
}

ISR(USART0_UDRE_vect) {
  uint16_t tail = send_tail;
  UDR0 = to_send[tail];
  tail = static_cast<uint16_t>(tail + 1) & transmit_capacity;
  send_tail = tail;
  sent = static_cast<uint8_t>(sent + 1);
  if (tail == send_head) UCSR0B = receiving;
}

}  // namespace mega
}  // namespace ringout
