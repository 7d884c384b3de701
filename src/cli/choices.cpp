#include "cli/choices.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <charconv>
#include <optional>

#include "cli/terminal.h"

namespace ringout::cli {
namespace {

using Choices = std::vector<session::Choice>;

constexpr std::size_t listed_at_once = 20;  // more are found by a word
constexpr std::size_t shortest_word = 3;

bool has_key(const session::Choice& choice) {
  return choice.key != 0;
}

std::size_t numbered(const Choices& choices) {
  return choices.size() - static_cast<std::size_t>(std::count_if(choices.begin(), choices.end(), has_key));
}

bool holds(const std::string& text, const std::string& word) {
  const auto same = [](char a, char b) { return std::tolower(a) == std::tolower(b); };
  return std::search(text.begin(), text.end(), word.begin(), word.end(), same) != text.end();
}

std::optional<std::size_t> number_of(const std::string& line) {
  std::size_t number = 0;
  const auto [end, wrong] = std::from_chars(line.data(), line.data() + line.size(), number);
  const bool whole = wrong == std::errc() && end == line.data() + line.size();
  return whole ? std::optional(number) : std::nullopt;
}

bool is_search(const Choices& choices, const std::string& line) {
  return choices.size() > listed_at_once && line.size() >= shortest_word && !number_of(line);
}

}  // namespace

std::string choices_text(const Choices& choices, const std::string& word) {
  std::string out;
  std::string letters;
  std::size_t number = 0;
  std::size_t listed = 0;
  std::size_t left_out = 0;
  for (const session::Choice& choice : choices) {
    if (has_key(choice)) {
      const std::string one = fmt::format("{} {}", choice.key, choice.text);
      const std::size_t last = letters.rfind('\n') == std::string::npos ? 0 : letters.rfind('\n') + 1;
      const bool fits = columns_of(letters.substr(last)) + columns_of(one) + 4 <= 78;
      letters += letters.empty() ? "   " + one : (fits ? "   " : "\n   ") + one;
      continue;
    }
    ++number;
    if (!holds(choice.text, word)) continue;
    if (++listed > listed_at_once) {
      ++left_out;
    } else {
      const bool one_line = choice.text.find('\n') == std::string::npos;
      out += fmt::format("  {:>2}  {}\n", number, one_line ? wrapped(choice.text, 72, 6) : choice.text);
    }
  }
  if (left_out > 0) out += fmt::format("      and {} more: write a word of what you look for\n", left_out);
  return letters.empty() ? out : out + letters + "\n";
}

std::vector<std::string> choices_meant(const Choices& choices, const std::string& line) {
  for (const session::Choice& choice : choices) {
    if (choice.id == line) return {choice.id};
  }
  const std::optional<std::size_t> number = number_of(line);
  std::vector<std::string> found;
  std::size_t at = 0;
  for (const session::Choice& choice : choices) {
    if (!has_key(choice)) ++at;
    const bool by_letter = has_key(choice) && line.size() == 1 && std::tolower(line.front()) == choice.key;
    const bool by_number = !has_key(choice) && number == at;
    if (by_letter || by_number) return {choice.id};
    if (is_search(choices, line) && !has_key(choice) && holds(choice.text, line)) found.push_back(choice.id);
  }
  return found;
}

std::string not_meant_text(const Choices& choices, const std::string& line) {
  const std::size_t numbers = numbered(choices);
  const bool letters = numbers < choices.size();
  std::string wanted = "one of the letters";
  if (numbers > 0) wanted = fmt::format("a number from 1 to {}{}", numbers, letters ? ", or " + wanted : "");
  if (!is_search(choices, line)) return fmt::format("please give {}\n", wanted);
  return fmt::format("nothing matches \"{}\": write another word, {}\n", line, wanted);
}

std::string typed_text(const Choices& choices) {
  const std::size_t numbers = numbered(choices);
  if (numbers == 0) return "letter";
  return numbers < choices.size() ? "number or letter" : "number";
}

}  // namespace ringout::cli
