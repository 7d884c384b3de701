// A file of answers, so that a script can take the person's part (docs/answers.md):
//
//   # seen on the bench
//   acted.OUT4 = mist_pump        an answer: the id of one choice
//   work.lift_top = done          a hand action: done, or cannot
//   acted.* = nothing             every other id that begins like this
//
// An id given on several lines is answered in their order; its last line then serves every further time.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/diagnostic.h"

namespace ringout::session {

class Answers {
 public:
  struct Line {
    std::string id;
    std::string answer;
    Span at;
    int times_used = 0;
  };

  // The next answer for this id: its own lines first, then the longest matching line that ends in '*'.
  [[nodiscard]] std::optional<Line> next(const std::string& id);
  [[nodiscard]] const std::string& file() const { return file_; }

 private:
  friend std::optional<Answers> read_answers(const SourceText& text, Diagnostics& found);
  std::string file_;
  std::vector<Line> lines_;
};

// All errors of the text in one run; nothing is returned when there was one.
[[nodiscard]] std::optional<Answers> read_answers(const SourceText& text, Diagnostics& found);

}  // namespace ringout::session
