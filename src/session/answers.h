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
#include "robot/robot.h"

namespace ringout::session {

// Whether a line of this id, which ends in '*', stands for `id`.
[[nodiscard]] bool begins_like(const std::string& id, const std::string& pattern);

class Answers {
 public:
  struct Line {
    std::string id;
    std::string answer;
    Span id_at;
    Span at;  // of the answer
    int times_used = 0;
  };

  // The next answer for this id: its own lines first, then the longest matching line that ends in '*'.
  [[nodiscard]] std::optional<Line> next(const std::string& id);
  [[nodiscard]] const std::string& file() const { return file_; }
  [[nodiscard]] const std::vector<Line>& lines() const { return lines_; }

 private:
  friend std::optional<Answers> read_answers(const SourceText& text, Diagnostics& found);
  std::string file_;
  std::vector<Line> lines_;
};

// All errors of the text in one run; nothing is returned when there was one.
[[nodiscard]] std::optional<Answers> read_answers(const SourceText& text, Diagnostics& found);

// What may be asked for, and what may answer it; one that ends in '*' stands for all that begin like it.
struct Asked {
  std::string id;
  std::vector<std::string> answers;  // empty: any, known elsewhere
};
// All that any command but `find` asks of this robot, and the complaint that `find` begins with.
[[nodiscard]] std::vector<Asked> asked_of(const robot::Robot& robot);

// Against what is asked for, so that a slip is told before anything moves: ids that nothing asks for, and answers that
// are none of the choices.
void check_answers(const Answers& answers, const std::vector<Asked>& asked, const SourceText& text, Diagnostics& found);
// The same for a robot; what `find` asks for in a case is known to that alone, and passed over.
void check_answers(const Answers& answers, const robot::Robot& robot, const SourceText& text, Diagnostics& found);

}  // namespace ringout::session
