// What is wrong in a text that a person wrote: all of it, in one run, each with its place, its reason and a way out.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/source_text.h"

namespace ringout {

enum class Severity { note, warning, error };

struct Diagnostic {
  Severity severity = Severity::error;
  std::string id;       // stable, "part.what-is-wrong"
  std::string message;  // what is wrong, one sentence
  std::string hint;     // what to write or do instead; may be empty
  Span span;
  std::string file;   // name of the text the span belongs to
  std::string owner;  // who can settle it ("mechanics", "wiring", "programming"); may be empty
};

class Diagnostics {
 public:
  void add(Diagnostic d) { all_.push_back(std::move(d)); }
  void error(const SourceText& in, Span at, std::string id, std::string message, std::string hint = {});
  void warning(const SourceText& in, Span at, std::string id, std::string message, std::string hint = {});

  [[nodiscard]] const std::vector<Diagnostic>& all() const { return all_; }
  [[nodiscard]] bool has_errors() const;
  // By file, line, column; stable, so that what was found first stays first.
  void sort_by_place();

 private:
  std::vector<Diagnostic> all_;
};

// file:line:column: severity: message [id], the line, a caret under the span, the hint, and "for:" with who can settle
// it, where known. UTF-8 text is measured in code points; tabs stay tabs so that the caret lines up. `in` may be null
// when the text is gone.
[[nodiscard]] std::string render(const Diagnostic& d, const SourceText* in);

// The candidate nearest to `word` by edit distance, or empty where none is near enough (more than a third changed).
[[nodiscard]] std::string nearest(std::string_view word, const std::vector<std::string>& candidates);

[[nodiscard]] const char* name_of(Severity s);

}  // namespace ringout
