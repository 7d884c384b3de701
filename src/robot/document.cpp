#include "robot/document.h"

// The library asserts what a text can violate ("[#": a table header that begins with no key) and, in a release build,
// promises it to the optimiser. Behind each such assertion it reports a proper error, which is what we want in every
// build; so this file is compiled without its assertions and without its promises. Found by fuzzing.
#undef NDEBUG
#define TOML_ASSERT(expression) static_assert(true)
#define TOML_EXCEPTIONS 0
#define TOML_ENABLE_FORMATTERS 0
#define TOML_HEADER_ONLY 1
#include <toml++/toml.h>

#include <fmt/format.h>

#include <algorithm>
#include <string_view>
#include <tuple>

namespace ringout::robot {

namespace {

constexpr std::size_t largest_text = std::size_t{512} * 1024;
constexpr std::size_t longest_line = 1000;

Span span_of(const toml::source_region& region, const SourceText& text) {
  Span span{static_cast<int>(region.begin.line), static_cast<int>(region.begin.column), 1};
  if (region.end.line == region.begin.line) {
    span.length = std::max(1, static_cast<int>(region.end.column) - span.column);
  } else if (span.line > 0) {
    const int width = static_cast<int>(text.line(span.line).size());
    span.length = std::max(1, width - span.column + 1);
  }
  return span;
}

Node convert(const toml::node& from, const SourceText& text);

void convert_table(const toml::table& from, const SourceText& text, Node& to) {
  to.kind = Node::Kind::table;
  for (const auto& [key, value] : from) {
    to.members.push_back({std::string(key.str()), span_of(key.source(), text), convert(value, text)});
  }
  std::stable_sort(to.members.begin(), to.members.end(), [](const Member& a, const Member& b) {
    return std::tie(a.key_span.line, a.key_span.column) < std::tie(b.key_span.line, b.key_span.column);
  });
}

Node convert(const toml::node& from, const SourceText& text) {
  Node to;
  to.span = span_of(from.source(), text);
  if (const auto* table = from.as_table()) {
    convert_table(*table, text, to);
  } else if (const auto* array = from.as_array()) {
    to.kind = Node::Kind::array;
    for (const toml::node& item : *array) to.items.push_back(convert(item, text));
  } else if (const auto* string = from.as_string()) {
    to.kind = Node::Kind::text;
    to.text = string->get();
  } else if (const auto* integer = from.as_integer()) {
    to.kind = Node::Kind::integer;
    to.integer = integer->get();
    to.real = static_cast<double>(integer->get());
  } else if (const auto* real = from.as_floating_point()) {
    to.kind = Node::Kind::real;
    to.real = real->get();
  } else if (const auto* truth = from.as_boolean()) {
    to.kind = Node::Kind::truth;
    to.truth = truth->get();
  }
  return to;
}

// "Error while parsing table header: …" in our words.
std::string words_of(std::string_view description) {
  constexpr std::string_view opening = "Error while parsing ";
  if (description.substr(0, opening.size()) == opening) description.remove_prefix(opening.size());
  return fmt::format("this is no TOML ({})", description);
}

bool within_limits(const SourceText& text, Diagnostics& found) {
  if (text.text().size() > largest_text) {
    found.error(text, {}, "file.too-large", fmt::format("the file is larger than {} KiB", largest_text / 1024),
                "is this the right file?");
    return false;
  }
  std::string_view rest = text.text();
  for (int number = 1; !rest.empty(); ++number) {
    const std::size_t end = std::min(rest.find('\n'), rest.size());
    if (end > longest_line) {
      found.error(text, {number, 1, 1}, "file.too-large", fmt::format("the line is longer than {} bytes", longest_line),
                  "break it into several lines");
      return false;
    }
    rest.remove_prefix(std::min(rest.size(), end + 1));
  }
  return true;
}

}  // namespace

const Node* Node::member(const std::string& key) const {
  for (const Member& m : members) {
    if (m.key == key) return &m.value;
  }
  return nullptr;
}

const char* name_of(Node::Kind kind) {
  switch (kind) {
    case Node::Kind::table:
      return "a table";
    case Node::Kind::array:
      return "a list";
    case Node::Kind::text:
      return "a text";
    case Node::Kind::integer:
    case Node::Kind::real:
      return "a number";
    case Node::Kind::truth:
      return "true or false";
    case Node::Kind::other:
      return "a date or time";
  }
  return "a value";
}

std::optional<Node> read_document(const SourceText& text, Diagnostics& found) {
  if (!within_limits(text, found)) return std::nullopt;
  const toml::parse_result result = toml::parse(std::string_view(text.text()));
  if (!result) {
    found.error(text, span_of(result.error().source(), text), "file.syntax", words_of(result.error().description()),
                "the file is TOML: [table], key = \"text\", key = 12, key = true");
    return std::nullopt;
  }
  Node root;
  root.span = {1, 1, 1};
  convert_table(result.table(), text, root);
  return root;
}

}  // namespace ringout::robot
