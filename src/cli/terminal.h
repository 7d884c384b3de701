// How text reaches a person: plain and aligned; colour only on a terminal, never without NO_COLOR's leave, and never
// alone: a word and a sign always stand beside it.
#pragma once

#include <cstdio>
#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"

namespace ringout::cli {

enum class Colour { off, on };
enum class Tone { plain, good, bad, attention, faint, strong };

[[nodiscard]] std::string paint(std::string_view text, Tone tone, Colour colour);

// Columns that a text takes on a terminal: one for each code point, none for our own colour sequences.
[[nodiscard]] std::size_t columns_of(std::string_view text);
[[nodiscard]] std::string padded(std::string_view text, std::size_t columns);
// Breaks at spaces so that no line has more than `columns` of text, but never between a number and its unit; the lines
// that follow stand `indent` to the right.
[[nodiscard]] std::string wrapped(std::string_view text, std::size_t columns, std::size_t indent);

// "ringout: what happened", then "hint: what to do".
[[nodiscard]] std::string error_text(const Error& error, Colour colour);

enum class Shown { all, nothing };  // with --json no text is printed

class Terminal {
 public:
  Terminal(std::FILE* out, std::FILE* err, Shown shown);

  void print(std::string_view text) const;     // flushed at once, so that a pipe sees it
  void complain(const Error& error) const;     // standard error, always
  void document(std::string_view json) const;  // standard output, always
  void record(std::string_view json) const;    // one line of a stream, where no text is printed (--json)
  // False once nobody reads the output any more (a pipe whose reader has ended).
  [[nodiscard]] bool is_read() const { return std::ferror(out_) == 0; }
  [[nodiscard]] Colour colour() const { return colour_; }
  [[nodiscard]] bool shows() const { return shown_ == Shown::all; }
  // Whether a table may be redrawn in place.
  [[nodiscard]] bool redraws() const { return redraws_; }

 private:
  std::FILE* out_;
  std::FILE* err_;
  Shown shown_;
  Colour colour_ = Colour::off;
  Colour error_colour_ = Colour::off;
  bool redraws_ = false;
};

}  // namespace ringout::cli
