// What an output is seen to do: by a person who has the program work it, by one who watches a bump, by the bench.
#pragma once

#include "find/robot/behaviour.h"

namespace ringout::faults {

[[nodiscard]] Shown seen_as(Motion motion);
// After an exchange against a known-good part: what is still in the circuit shows as before.
[[nodiscard]] Shows still_there(const Shows& shows);

// What the bench can see of a bump on an output's port.
struct Senses {
  bool drives = false;                   // it can bump that port at all: a bridge
  const robot::Input* motion = nullptr;  // encoder or analogue sensor that watches the output
  bool current = false;                  // its bank has a sense
  bool others = false;                   // some other output has a motion sensor
  [[nodiscard]] bool any() const { return drives && (motion != nullptr || current); }
};
[[nodiscard]] Senses senses_of(const robot::Robot& robot, const robot::Output& output);

// What the bench can tell of a bump on the output's port.
[[nodiscard]] std::vector<Shown> bump_outcomes(const Senses& senses);
[[nodiscard]] Shows bump_shows(const robot::Robot& robot, const Fault& fault, const robot::Output& output);

// "the lamp is lit?"
[[nodiscard]] std::string what_to_see(const robot::Output& output);
[[nodiscard]] std::vector<Shown> sight_outcomes(robot::PointKind kind);
[[nodiscard]] Shows watched(const robot::Robot& robot, const Fault& fault, const robot::Output& output);   // bump
[[nodiscard]] Shows operated(const robot::Robot& robot, const Fault& fault, const robot::Output& output);  // program

[[nodiscard]] Shows looked_at(const Fault& fault, const robot::Output& output);  // along its lead, nothing commanded

[[nodiscard]] std::vector<Shown> reading_outcomes();  // of an input in the program
[[nodiscard]] Shows read(const robot::Robot& robot, const Fault& fault, const robot::Input& input);

// Whether the bench refuses to move anything while this fault is there.
[[nodiscard]] bool stops_the_bench(const Fault& fault);
[[nodiscard]] bool link_silent(const robot::Robot& robot, const Fault& fault);

}  // namespace ringout::faults
