// A text that a person wrote, with its name, so that every value can point back at the line it came from.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace ringout {

// Where a value stands: 1-based line and column (in code points), and how many columns it covers. line 0: nowhere.
struct Span {
  int line = 0;
  int column = 0;
  int length = 1;
};

class SourceText {
 public:
  SourceText(std::string name, std::string text) : name_(std::move(name)), text_(std::move(text)) {}

  [[nodiscard]] const std::string& name() const { return name_; }
  [[nodiscard]] const std::string& text() const { return text_; }
  // The 1-based line without its line end; empty where there is no such line.
  [[nodiscard]] std::string_view line(int number) const;

 private:
  std::string name_;
  std::string text_;
};

}  // namespace ringout
