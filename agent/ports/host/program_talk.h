// What a program in the twin and the twin say to each other, over a socket pair that keeps message boundaries. Both
// ends are built together and run on one machine, so records go as they are in memory.
//
//   child                          twin
//   points, name × count     ->                     once, at the start
//                            <-    go               program() begins
//   set, all_off, step,
//   begin_wait, end_wait     ->                     no answer: the program goes on
//   read                     ->    value            at once
//   wait_time, next_tick     ->    value            when virtual time has come there; 0: the time is over
//   ended                    ->
#pragma once

#include <cstdint>

#include "agent/program.hpp"

namespace ringout {
namespace program_talk {

enum class Kind : std::uint8_t {
  points,
  name,
  go,
  set,
  read,
  all_off,
  step,
  begin_wait,
  next_tick,
  end_wait,
  wait_time,
  value,
  ended
};

struct Message {
  Kind kind = Kind::ended;
  std::uint8_t point = runner::no_point;  // points: their count; name: the point's kind
  runner::Wait wait = runner::Wait::nothing;
  std::uint16_t line = 0;
  std::uint32_t number = 0;  // milliseconds; points: the fingerprint
  float value = 0.0F;
  char text[longest_point_name + 1] = {};  // name, step
};

// The environment variable that tells the child its end of the socket pair.
constexpr const char* socket_variable = "RINGOUT_PROGRAM_SOCKET";

}  // namespace program_talk
}  // namespace ringout
