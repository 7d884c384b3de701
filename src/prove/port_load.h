// What the current of a port's first bumps says while nothing is proved: its drawn device, another one of this robot,
// or more than any of them takes.
#pragma once

#include <optional>
#include <span>
#include <string>

#include "capture/sample.h"
#include "robot/robot.h"
#include "units/quantity.h"

namespace ringout::prove {

enum class LoadLike {
  drawn,
  another,   // more or less than drawn, as another output of this robot would take, or within what they all do
  less,      // than drawn, and like no other
  held,      // far more than any that moves: as the drawn motor takes where it stands, or a short
  short_cut  // more than that
};

struct PortLoad {
  Current read;      // mean over the driven part after the slope; of the half that drew most
  Current expected;  // the same of the drawn device
  LoadLike like = LoadLike::drawn;
  std::string other;  // with `another`: the nearest of them; empty where none is near
};

// `records`: bumps of the output's drawn port. Empty where the port's bank has no sense. A factor of load_factor either
// way and load_margin are allowed for: friction, load, tolerances and the sense itself.
inline constexpr double load_factor = 1.5;
inline constexpr Current load_margin = amperes(0.1);  // twice the step of a 10-bit sense of 0.1 V/A at 5 V
[[nodiscard]] std::optional<PortLoad> port_load(const robot::Robot& robot, const robot::Output& output,
                                                std::span<const capture::BumpRecord> records);

// More than any device of this robot takes that moves.
[[nodiscard]] inline bool far_too_much(const PortLoad& load) {
  return load.like == LoadLike::held || load.like == LoadLike::short_cut;
}

// "1.24 A as drawn", "4.49 A where 1.29 A are drawn".
[[nodiscard]] std::string words_of(const PortLoad& load);

}  // namespace ringout::prove
