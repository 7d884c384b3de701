#include "session/answers.h"

#include <algorithm>
#include <string_view>

namespace ringout::session {
namespace {

std::string_view trimmed(std::string_view s) {
  const char* const blank = " \t\r";
  const std::size_t first = s.find_first_not_of(blank);
  if (first == std::string_view::npos) return {};
  return s.substr(first, s.find_last_not_of(blank) - first + 1);
}

bool is_id(std::string_view s) {
  const std::string_view allowed = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_.-+";
  const std::string_view body = s.ends_with('*') ? s.substr(0, s.size() - 1) : s;
  return !s.empty() && body.find_first_not_of(allowed) == std::string_view::npos;
}

Span span_of(std::string_view line, std::string_view part, int number) {
  return Span{.line = number,
              .column = static_cast<int>(part.data() - line.data()) + 1,
              .length = std::max(static_cast<int>(part.size()), 1)};
}

}  // namespace

bool begins_like(const std::string& id, const std::string& pattern) {
  return pattern.ends_with('*') && id.starts_with(std::string_view(pattern).substr(0, pattern.size() - 1));
}

std::optional<Answers::Line> Answers::next(const std::string& id) {
  Line* best = nullptr;
  for (Line& line : lines_) {
    if (line.id == id && (!best || best->times_used > 0)) best = &line;
  }
  if (!best) {
    for (Line& line : lines_) {
      if (begins_like(id, line.id) && (!best || line.id.size() > best->id.size())) best = &line;
    }
  }
  if (!best) return std::nullopt;
  ++best->times_used;
  return *best;
}

std::optional<Answers> read_answers(const SourceText& text, Diagnostics& found) {
  Answers answers;
  answers.file_ = text.name();
  const std::size_t before = found.all().size();
  std::string_view rest = text.text();
  for (int number = 1; !rest.empty(); ++number) {
    const std::size_t end = std::min(rest.find('\n'), rest.size());
    const std::string_view line = rest.substr(0, end);
    rest.remove_prefix(std::min(end + 1, rest.size()));
    const std::string_view content = trimmed(line.substr(0, line.find('#')));
    if (content.empty()) continue;
    const std::size_t equals = content.find('=');
    if (equals == std::string_view::npos) {
      found.error(text, span_of(line, content, number), "answers.no-equals-sign", "this line is no answer",
                  "write: id = answer");
      continue;
    }
    const std::string_view id = trimmed(content.substr(0, equals));
    const std::string_view answer = trimmed(content.substr(equals + 1));
    if (!is_id(id)) {
      found.error(text, span_of(line, id.empty() ? content : id, number), "answers.bad-id",
                  "the id before '=' may hold letters, digits, '.', '_', '-', '+', and one '*' at its end",
                  "docs/answers.md lists the ids");
    } else if (answer.empty()) {
      found.error(text, span_of(line, content, number), "answers.no-answer", "there is no answer behind '='",
                  "write: " + std::string(id) + " = answer");
    } else {
      answers.lines_.push_back(
          {std::string(id), std::string(answer), span_of(line, id, number), span_of(line, answer, number)});
    }
  }
  if (found.all().size() != before) return std::nullopt;
  return answers;
}

}  // namespace ringout::session
