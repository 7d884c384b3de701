// The board port: everything the agent asks of a controller board, as functions with a context, so that several agents
// can live in one process. Ports are counted per kind from 0, in the board file's order.
#pragma once

#include <stdint.h>

#include "wire/codes.h"

namespace ringout {
namespace agent {

enum class OffMode : uint8_t { coast, brake };

struct Board {
  void* context;

  // Fixed facts of the board.
  uint8_t bridges;       // at most wire::max_bridges
  uint8_t encoders;      // at most wire::max_encoders
  uint8_t switches;      // at most wire::max_switches
  uint8_t adc_channels;  // at most wire::max_adc_channels; channel n is the chip's ADCn
  uint8_t supply_adc;    // so that the supply can be told before any table is loaded
  float supply_mv_per_raw;

  // Drives one bridge: -1000..1000 permille, sign at the port's terminals (the port undoes the board's inversion);
  // 0 is off in the given mode. Called with interrupts locked.
  void (*set_bridge)(void* context, uint8_t bridge, int16_t level_permille, OffMode when_off);
  // All bridges off at once; bit n of brake_mask: bridge n brakes, else coasts. Called from the receive interrupt too.
  void (*all_off)(void* context, uint16_t brake_mask);

  int32_t (*encoder_count)(void* context, uint8_t encoder);
  uint16_t (*switch_levels)(void* context);             // bit n: pin level of switch port n, board inversion undone
  uint16_t (*adc_raw)(void* context, uint8_t channel);  // latest conversion

  uint32_t (*clock_us)(void* context);  // since reset, wraps

  // EEPROM. write takes one byte; while it is being written the EEPROM is not ready: write returns false then, and a
  // read would have to wait, so the agent reads only when it is ready (try again next tick).
  uint16_t eeprom_bytes;
  bool (*eeprom_ready)(void* context);
  void (*eeprom_read)(void* context, uint16_t at, uint8_t* to, uint16_t count);
  bool (*eeprom_write)(void* context, uint16_t at, uint8_t byte);

  void (*feed_watchdog)(void* context);

  // Locks interrupts and returns what unlock needs to restore them; nests.
  uint8_t (*lock)(void* context);
  void (*unlock)(void* context, uint8_t saved);

  // Transmit queue: free room in bytes, and handing over a whole frame (only when it fits).
  uint16_t (*transmit_room)(void* context);
  void (*transmit)(void* context, const uint8_t* bytes, uint16_t count);

  uint16_t (*unused_stack)(void* context);   // bytes never touched since the reset
  uint16_t (*load_permille)(void* context);  // share of time in tick and interrupts
  uint32_t (*entropy)(void* context);        // as unpredictable as the board can; asked once at start
};

// What the firmware was built from: the agent's surroundings besides the board.
struct Firmware {
  uint8_t major;
  uint8_t minor;
  uint8_t patch;
  uint32_t board_fp;
  uint32_t program_fp;
  uint8_t points;  // names the program was built against; 0: no program built in
  void* context;
  // Writes the name of a point (at most capacity bytes, no closing zero) and its kind; returns the length.
  uint8_t (*point_name)(void* context, uint8_t point, char* to, uint8_t capacity, wire::PointKind* kind);
};

// How the agent starts and stops the team's program. Both are called from the tick and return at once: start makes the
// program begin soon (false: it cannot), stop makes it leave at its next call of the program API.
struct ProgramHooks {
  void* context;
  bool (*start)(void* context);
  void (*stop)(void* context);
};

}  // namespace agent
}  // namespace ringout
