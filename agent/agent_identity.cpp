// The controller's identity: the chip has no serial number, so one is made at the first start and kept in the EEPROM.
#include "agent/agent.h"

namespace ringout {
namespace agent {
namespace {

constexpr uint8_t identity_bytes = 8;
constexpr uint8_t stored_bytes = identity_bytes + 2;  // and its CRC-16
static_assert(eeprom_identity_at + stored_bytes <= eeprom_slot_0_at, "the identity stands before the slots");

}  // namespace

void Agent::start_identity() {
  uint8_t stored[stored_bytes];
  board_.eeprom_read(board_.context, eeprom_identity_at, stored, stored_bytes);
  uint16_t check;
  wire::Reader(stored + identity_bytes, 2).u16(check);
  const uint32_t chance = board_.entropy(board_.context);
  if (check == wire::crc16(stored, identity_bytes)) {
    memcpy(identity_, stored, identity_bytes);
  } else {
    wire::Writer to(identity_, identity_bytes);
    to.u32(mixed(chance + 1));
    to.u32(mixed(chance + 0x9E3779B9ul));
    identity_to_write_ = stored_bytes;
  }
  uint32_t low;
  uint32_t high;
  wire::Reader from(identity_, identity_bytes);
  from.u32(low);
  from.u32(high);
  permission_.start(mixed(chance ^ clock()) ^ low ^ high);
}

void Agent::keep_identity() {
  if (identity_to_write_ == 0) return;
  const uint8_t at = static_cast<uint8_t>(stored_bytes - identity_to_write_);
  const uint16_t check = wire::crc16(identity_, identity_bytes);
  const uint8_t byte =
      at < identity_bytes ? identity_[at] : static_cast<uint8_t>(at == identity_bytes ? check & 0xFF : check >> 8);
  if (board_.eeprom_write(board_.context, static_cast<uint16_t>(eeprom_identity_at + at), byte)) {
    identity_to_write_ = static_cast<uint8_t>(identity_to_write_ - 1);
  }
}

}  // namespace agent
}  // namespace ringout
