#include "base/diagnostic.h"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>

namespace ringout {

namespace {

bool starts_code_point(char c) {
  return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
}

// Blanks as wide as the first `columns` code points of the line; tabs stay tabs.
std::string margin(std::string_view line, int columns) {
  std::string out;
  int seen = 0;
  for (const char c : line) {
    if (!starts_code_point(c)) continue;
    if (++seen > columns) break;
    out += c == '\t' ? '\t' : ' ';
  }
  return out;
}

constexpr std::size_t longest_excerpt = 400;

// The line as a terminal may show it: a control character in a broken file must not reach it, nor all of a line that is
// no line of text.
std::string printable(std::string_view line) {
  std::string out;
  for (const char c : line) {
    const auto byte = static_cast<unsigned char>(c);
    if (out.size() >= longest_excerpt && starts_code_point(c)) return out + " …";
    out += (byte < 0x20U && c != '\t') || byte == 0x7FU ? '?' : c;
  }
  return out;
}

std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t substituted = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
      diagonal = row[j];
      row[j] = std::min({row[j] + 1, row[j - 1] + 1, substituted});
    }
  }
  return row[b.size()];
}

}  // namespace

void Diagnostics::error(const SourceText& in, Span at, std::string id, std::string message, std::string hint) {
  add({Severity::error, std::move(id), std::move(message), std::move(hint), at, in.name(), {}});
}

void Diagnostics::warning(const SourceText& in, Span at, std::string id, std::string message, std::string hint) {
  add({Severity::warning, std::move(id), std::move(message), std::move(hint), at, in.name(), {}});
}

bool Diagnostics::has_errors() const {
  return std::any_of(all_.begin(), all_.end(), [](const Diagnostic& d) { return d.severity == Severity::error; });
}

void Diagnostics::sort_by_place() {
  std::stable_sort(all_.begin(), all_.end(), [](const Diagnostic& a, const Diagnostic& b) {
    return std::tie(a.file, a.span.line, a.span.column) < std::tie(b.file, b.span.line, b.span.column);
  });
}

std::string render(const Diagnostic& d, const SourceText* in) {
  std::string out;
  if (d.span.line > 0) {
    out = fmt::format("{}:{}:{}: {}: {} [{}]\n", d.file, d.span.line, d.span.column, name_of(d.severity), d.message,
                      d.id);
  } else {
    out = fmt::format("{}: {}: {} [{}]\n", d.file, name_of(d.severity), d.message, d.id);
  }
  if (in != nullptr && d.span.line > 0) {
    const std::string number = std::to_string(d.span.line);
    const std::string_view line = in->line(d.span.line);
    out += fmt::format("  {} | {}\n  {} | {}{}\n", number, printable(line), std::string(number.size(), ' '),
                       margin(line, d.span.column - 1),
                       std::string(static_cast<std::size_t>(std::max(1, d.span.length)), '^'));
  }
  if (!d.hint.empty()) out += fmt::format("  hint: {}\n", d.hint);
  if (!d.owner.empty()) out += fmt::format("  for: {}\n", d.owner);
  return out;
}

std::string nearest(std::string_view word, const std::vector<std::string>& candidates) {
  std::string best;
  std::size_t best_distance = std::max<std::size_t>(1, word.size() / 3) + 1;
  for (const std::string& candidate : candidates) {
    const std::size_t distance = edit_distance(word, candidate);
    if (distance < best_distance) {
      best_distance = distance;
      best = candidate;
    }
  }
  return best;
}

const char* name_of(Severity s) {
  switch (s) {
    case Severity::note:
      return "note";
    case Severity::warning:
      return "warning";
    case Severity::error:
      return "error";
  }
  return "error";
}

}  // namespace ringout
