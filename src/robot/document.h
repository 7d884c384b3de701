// A TOML text as a tree of values that know their place. The only door to the TOML library (document.cpp), so that the
// rest of the tree compiles fast and sees tables in the order in which a person wrote them.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/diagnostic.h"
#include "base/source_text.h"

namespace ringout::robot {

struct Member;

struct Node {
  enum class Kind { table, array, text, integer, real, truth, other };
  Kind kind = Kind::other;
  Span span;
  std::string text;             // text
  std::int64_t integer = 0;     // integer
  double real = 0.0;            // real, and integer as well
  bool truth = false;           // truth
  std::vector<Member> members;  // table: in the file's order
  std::vector<Node> items;      // array

  [[nodiscard]] const Node* member(const std::string& key) const;
};

struct Member {
  std::string key;
  Span key_span;
  Node value;
};

[[nodiscard]] const char* name_of(Node::Kind kind);  // "a table", "a number", …

// Reads a text. At a syntax error: one finding with its place (id "file.syntax", words of syntax_words.h) and nothing
// returned. Texts over 512 KiB or with a line over 1000 bytes are refused (id "file.too-large"): no robot file needs
// them, and the limits bound how deep tables can nest.
[[nodiscard]] std::optional<Node> read_document(const SourceText& text, Diagnostics& found);

}  // namespace ringout::robot
