// Where a built-in figure comes from, carried with the figure so that every answer taken from it can say so.
#pragma once

#include <string_view>

namespace ringout::physics {

enum class Mark {
  read,         // seen in a copy of the named sheet or standard
  second_hand,  // seen in someone's transcription of it: plausible, not proven
  memory,       // recalled, not seen
};

struct FigureSource {
  std::string_view text;
  Mark mark = Mark::memory;
};

[[nodiscard]] constexpr std::string_view name_of(Mark mark) {
  switch (mark) {
    case Mark::read:
      return "read";
    case Mark::second_hand:
      return "read second hand";
    case Mark::memory:
      return "from memory";
  }
  return "";
}

}  // namespace ringout::physics
