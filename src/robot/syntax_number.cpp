#include "robot/syntax_number.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cstdint>
#include <system_error>

namespace ringout::robot {
namespace {

constexpr std::string_view digits = "0123456789";
constexpr std::size_t most_characters = 128;  // that the TOML library reads of one number

bool digit_at(std::string_view text, std::size_t at) {
  return at < text.size() && digits.find(text[at]) != std::string_view::npos;
}

bool between_digits(std::string_view text, std::size_t at) {
  return at > 0 && digit_at(text, at - 1) && digit_at(text, at + 1);
}

std::string without(std::string_view text, char unwanted) {
  std::string out(text);
  out.erase(std::remove(out.begin(), out.end(), unwanted), out.end());
  return out;
}

std::optional<std::string> mark_hint(std::string_view text) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool sign = text[i] == '+' || text[i] == '-';
    if (sign && i > 0 && text[i - 1] != 'e' && text[i - 1] != 'E') return "one sign, before the first digit, as in -5";
    if (text[i] == '_' && !between_digits(text, i)) return "one _ at a time, and between two digits, as in 1_000";
  }
  return std::nullopt;
}

// `number` without sign and underscores.
std::optional<std::string> form_hint(std::string_view number) {
  const std::size_t e = number.find_first_of("eE");
  const std::string_view mantissa = number.substr(0, e);
  const std::size_t point = mantissa.find('.');
  if (point != std::string_view::npos) {
    if (mantissa.find('.', point + 1) != std::string_view::npos) return "one point, as in 0.5";
    if (!between_digits(mantissa, point)) return "a digit before and behind the point, as in 0.5";
  }
  if (e != std::string_view::npos) {
    std::string_view exponent = number.substr(e + 1);
    if (!exponent.empty() && (exponent.front() == '+' || exponent.front() == '-')) exponent.remove_prefix(1);
    if (mantissa.empty() || exponent.empty() || exponent.find_first_not_of(digits) != std::string_view::npos) {
      return "a number before e and a whole one behind it, as in 1.5e3 for 1500";
    }
  }
  if (mantissa.front() == '0' && digit_at(mantissa, 1)) return "no zero before the other digits, as in 5 or 0.5";
  return std::nullopt;
}

// `number` without underscores and a plus, of the right form.
std::optional<std::string> size_hint(std::string_view number) {
  const char* const end = number.data() + number.size();
  if (number.find_first_of(".eE") == std::string_view::npos) {
    std::int64_t whole = 0;
    if (std::from_chars(number.data(), end, whole).ec == std::errc{}) return std::nullopt;
    return "it is too large: whole numbers end at 9223372036854775807";
  }
  if (number.size() > most_characters) return "it has too many digits; write fewer, or with e, as in 1.5e3 for 1500";
  double real = 0;
  if (std::from_chars(number.data(), end, real).ec == std::errc{}) return std::nullopt;
  return "it is too large: numbers end at 1.8e308";
}

}  // namespace

std::optional<std::string> number_hint(std::string_view text) {
  if (text.find_first_of(digits) == std::string_view::npos ||
      text.find_first_not_of(number_characters) != std::string_view::npos) {
    return "a number is written as in 12, -0.5 or 1.5e3";
  }
  if (auto hint = mark_hint(text)) return hint;
  std::string number = without(text, '_');
  if (number.front() == '+') number.erase(0, 1);
  if (auto hint = form_hint(std::string_view(number).substr(number.front() == '-' ? 1 : 0))) return hint;
  return size_hint(number);
}

bool is_comma_in_number(std::string_view text, std::size_t comma) {
  return text.substr(0, comma).find_first_not_of("0123456789+-.,_") == std::string_view::npos &&
         between_digits(text, comma);
}

std::optional<SyntaxWords> words_for_comma(std::string_view key, LinePart value, int line) {
  const std::string_view text = value.text;
  const std::size_t comma = text.find(',');
  if (comma == std::string_view::npos || !is_comma_in_number(text, comma)) return std::nullopt;
  const bool alone = text.find_first_not_of(std::string(number_characters) + ",") == std::string_view::npos;
  const std::string_view number = alone ? text : text.substr(0, text.find_first_not_of("0123456789+-.,_"));
  const auto written = [&](std::string_view mark) {
    return std::string(number.substr(0, comma)).append(mark).append(number.substr(comma + 1));
  };
  const auto quoted = [&](std::string_view mark) {
    return alone ? written(mark) : in_quotes(written(mark).append(text.substr(number.size())));
  };
  SyntaxWords words{value.on(line), fmt::format("{} is written with a comma", text),
                    "a number has no comma, and one point at most; several numbers are a list, [1, 2]"};
  if (number_hint(written("."))) return words;
  words.hint = fmt::format("write it with a point{}: {} = {}", alone ? "" : ", and in quotes", key, quoted("."));
  const std::size_t before = number.find_first_of(digits);
  const std::size_t behind = std::min(number.find_first_not_of(digits, comma + 1), number.size());
  if (behind - comma == 4 && comma - before <= 3 && !number_hint(written(""))) {
    words.hint = fmt::format("write {} = {} if the comma is the decimal point, {} if it parts the thousands", key,
                             quoted("."), quoted(""));
  }
  return words;
}

}  // namespace ringout::robot
