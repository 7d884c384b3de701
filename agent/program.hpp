// What a team's program may do: move outputs, read inputs, wait, and say which step it is at. The same source runs on
// the controller and in the twin. Every call that waits leaves the program when it is told to stop; every wait for an
// input has a time limit. Levels are fractions of the supply; readings are in the unit of the point table (SI).
//
// The file points.hpp is written by the tool from the robot file, and is all that a program includes. For a robot of
// three points it reads exactly like this:
//
//   #pragma once
//   #include "agent/program.hpp"
//   namespace points {
//   constexpr ringout::Motor lift{0};
//   constexpr ringout::OnOff lamp{1};
//   constexpr ringout::Encoder lift_encoder{2};
//   }
//   #ifdef RINGOUT_DEFINE_POINTS
//   namespace ringout {
//   extern const ProgramPoints program_points = {3, 0x1A2B3C4DUL};  // number of points, program fingerprint
//   extern const PointName point_names[] RINGOUT_IN_FLASH = {
//       {PointKind::bridge_motor, "lift"},
//       {PointKind::on_off, "lamp"},
//       {PointKind::encoder, "lift_encoder"},
//   };
//   }
//   #endif
//
// Outputs come first, then inputs, each in the robot file's order; a point's number is its place in that order. Types
// by kind: Motor, Servo, OnOff, Light, Switch, Analogue, Encoder, BusDevice. RINGOUT_DEFINE_POINTS is set in one file
// only (agent/program_points.cpp), so a program may consist of several files.
#pragma once

#include <stdint.h>

#if defined(__AVR__)
#include <avr/pgmspace.h>
#define RINGOUT_IN_FLASH PROGMEM
#else
#define RINGOUT_IN_FLASH
#endif

// Written by the team. When it returns, all outputs are turned off.
void program();

namespace ringout {

enum class PointKind : uint8_t { bridge_motor, servo, on_off, light, switch_input, analogue, encoder, bus_device };

constexpr uint8_t longest_point_name = 40;
constexpr uint8_t longest_step_name = 24;

// What the agent tells the host about the program it was built with.
struct PointName {
  PointKind kind;
  char name[longest_point_name + 1];
};
struct ProgramPoints {
  uint8_t count;
  uint32_t fingerprint;
};
extern const ProgramPoints program_points;
extern const PointName point_names[];

// ---- points -------------------------------------------------------------------------------------------------------
// A type for each kind, so that a point cannot be used as what it is not: an output cannot be read, an input not set.

struct Motor {
  uint8_t number;
};
struct OnOff {
  uint8_t number;
};
struct Servo {
  uint8_t number;
};
struct Light {
  uint8_t number;
};
struct BusDevice {
  uint8_t number;
};
struct Switch {
  uint8_t number;
};
struct Analogue {
  uint8_t number;
};
struct Encoder {
  uint8_t number;
};

constexpr bool on = true;
constexpr bool off = false;

// ---- what the calls below rest on: one set of these for the chip, one for the twin --------------------------------

namespace runner {

enum class Wait : uint8_t { nothing, time, input, condition };

constexpr uint8_t no_point = 0xFF;

void set_level(uint8_t point, float level, uint16_t line);
float read_value(uint8_t point, uint16_t line);
void all_off(uint16_t line);
void name_step(const char* name, uint16_t line);
void wait_time(uint32_t milliseconds, uint16_t line);

// A wait for something: begin, then look and call next_tick by turns, then end. False: the time is over.
void begin_wait(Wait kind, uint8_t point, uint32_t time_limit_ms, uint16_t line);
bool next_tick();
void end_wait();

}  // namespace runner

// ---- outputs ------------------------------------------------------------------------------------------------------

// Level of a motor from -1.0 to 1.0, fraction of the supply; positive is what the robot file says positive means.
inline void set(Motor motor, double level, uint16_t line = __builtin_LINE()) {
  runner::set_level(motor.number, static_cast<float>(level), line);
}
inline void set(Motor motor, float level, uint16_t line = __builtin_LINE()) {
  runner::set_level(motor.number, level, line);
}
// A whole number is refused: 50 would be full power to the machine and half power to its reader. The compiler shows the
// declaration's line, and so what stands behind it.
template <class Level>
void set(Motor, Level, uint16_t = 0) = delete;  // a motor's level is a fraction with a point: 0.5, -0.5, 0.0

inline void set(OnOff output, bool value, uint16_t line = __builtin_LINE()) {
  runner::set_level(output.number, value ? 1.0F : 0.0F, line);
}
template <class Level>
void set(OnOff, Level, uint16_t = 0) = delete;  // this output knows on and off only

// Every output off, each in the way the robot file says (coast or brake).
inline void outputs_off(uint16_t line = __builtin_LINE()) {
  runner::all_off(line);
}

// ---- inputs -------------------------------------------------------------------------------------------------------

inline bool read(Switch input, uint16_t line = __builtin_LINE()) {
  return runner::read_value(input.number, line) != 0.0F;
}
inline float read(Analogue input, uint16_t line = __builtin_LINE()) {
  return runner::read_value(input.number, line);
}
inline float read(Encoder input, uint16_t line = __builtin_LINE()) {
  return runner::read_value(input.number, line);
}

// ---- waiting ------------------------------------------------------------------------------------------------------

// Something to wait for that one input decides: `lift_encoder > 0.3`, `range_ahead < 0.25`, `pressed(lift_top)`.
struct Condition {
  enum class Is : uint8_t { above, below };
  uint8_t point;
  Is is;
  float limit;

  bool holds(uint16_t line) const {
    const float value = runner::read_value(point, line);
    return is == Is::above ? value > limit : value < limit;
  }
};

constexpr Condition operator>(Encoder input, double limit) {
  return {input.number, Condition::Is::above, static_cast<float>(limit)};
}
constexpr Condition operator<(Encoder input, double limit) {
  return {input.number, Condition::Is::below, static_cast<float>(limit)};
}
constexpr Condition operator>(Analogue input, double limit) {
  return {input.number, Condition::Is::above, static_cast<float>(limit)};
}
constexpr Condition operator<(Analogue input, double limit) {
  return {input.number, Condition::Is::below, static_cast<float>(limit)};
}
constexpr Condition pressed(Switch input) {
  return {input.number, Condition::Is::above, 0.5F};
}
constexpr Condition released(Switch input) {
  return {input.number, Condition::Is::below, 0.5F};
}

inline void dwell(uint32_t milliseconds, uint16_t line = __builtin_LINE()) {
  runner::wait_time(milliseconds, line);
}

// Waits until the condition holds, at most the time limit. True: it holds; false: the time is over.
inline bool until(Condition condition, uint32_t time_limit_ms, uint16_t line = __builtin_LINE()) {
  runner::begin_wait(runner::Wait::input, condition.point, time_limit_ms, line);
  bool holds = condition.holds(line);
  while (!holds && runner::next_tick()) holds = condition.holds(line);
  runner::end_wait();
  return holds;
}

// The same for anything that can be asked again and again: until([] { return read(a) > 1 && read(b) < 2; }, 500).
template <class Predicate>
bool until(Predicate predicate, uint32_t time_limit_ms, uint16_t line = __builtin_LINE()) {
  runner::begin_wait(runner::Wait::condition, runner::no_point, time_limit_ms, line);
  bool holds = predicate();
  while (!holds && runner::next_tick()) holds = predicate();
  runner::end_wait();
  return holds;
}
// A value that was worked out once can never come true: wait for a condition, or give a function.
bool until(bool, uint32_t, uint16_t = 0) = delete;

// Says where in its job the program is; shown beside the line that waits. At most 24 bytes are kept.
inline void step(const char* name, uint16_t line = __builtin_LINE()) {
  runner::name_step(name, line);
}

}  // namespace ringout
