// What is complained of, in plain words as a closed set.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "robot/robot.h"

namespace ringout::faults {

enum class Symptom {
  nothing,         // output: does nothing
  wrong_way,       // output: moves the wrong way
  another_acts,    // output: another thing acts instead
  weak,            // output: weak or slow
  stops,           // output: stops by itself
  unasked,         // output: acts without being told
  unchanging,      // input: does not change
  reads_wrong,     // input: reads wrong
  nothing_answers  // the whole robot: the controller does not answer
};

// The word that a person or a file writes ("nothing", "wrong way", …), and the same as a sentence ("does nothing").
[[nodiscard]] std::string_view name_of(Symptom symptom);
[[nodiscard]] std::string_view words_of(Symptom symptom);
[[nodiscard]] std::optional<Symptom> symptom_named(std::string_view name);

// What can be said of a point of this kind; of the whole robot.
[[nodiscard]] std::vector<Symptom> symptoms_of(robot::PointKind kind);
[[nodiscard]] std::vector<Symptom> symptoms_of_the_robot();

struct Trouble {
  std::string point;  // empty: the whole robot
  Symptom symptom = Symptom::nothing;
  std::string other = {};  // another_acts: the output that does; empty: not said, or none of this robot
};

struct Complaint {
  std::vector<Trouble> troubles;  // each point once
};

// Beyond so many points only what they share is modelled with them; each point's own parts are not.
constexpr std::size_t most_points = 6;

}  // namespace ringout::faults
