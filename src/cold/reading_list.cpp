#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <string_view>

#include "base/diagnostic.h"
#include "cold/judge.h"

namespace ringout::cold {
namespace {

constexpr std::size_t most_faults_told = 10;
constexpr std::size_t most_readings = 50;

constexpr std::string_view only_blanks = " \t\r";

std::string_view trimmed(std::string_view text, std::string_view blanks = " \t\r\"") {
  const std::size_t first = text.find_first_not_of(blanks);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return out;
}

struct Scale {
  std::string_view unit;
  double factor;
  bool of_current;
};
constexpr Scale scales[] = {{"ohm", 1.0, false},   {"Ω", 1.0, false},    {"kohm", 1e3, false},
                            {"kΩ", 1e3, false},    {"Mohm", 1e6, false}, {"MΩ", 1e6, false},
                            {"mohm", 1e-3, false}, {"A", 1.0, true},     {"mA", 1e-3, true}};

const Scale* scale_of(std::string_view word, StepKind kind) {
  for (const Scale& scale : scales) {
    if (scale.unit == word && scale.of_current == (kind == StepKind::first_power)) return &scale;
  }
  return nullptr;
}

// "0,3" with its point; empty: it is something else that is wrong, or "1,200", which may be a thousand.
std::string with_point(std::string_view word) {
  const std::size_t comma = word.find(',');
  const auto digit = [&](std::size_t at) { return at < word.size() && word[at] >= '0' && word[at] <= '9'; };
  if (comma == std::string_view::npos || comma == 0 || !digit(comma - 1) || !digit(comma + 1)) return {};
  const std::size_t end = std::min(word.size(), word.find_first_not_of("0123456789", comma + 1));
  if (end == comma + 4 && word.substr(0, comma) != "0") return {};
  std::string out(word);
  out[comma] = '.';
  if (out.find_first_of(",.", comma + 1) != std::string::npos || word.find('.') != std::string_view::npos) return {};
  if (end < out.size()) out.insert(end, " ");  // before its unit
  return out;
}

tl::unexpected<Error> not_a_reading(std::string_view word, StepKind kind) {
  std::string hint = kind == StepKind::first_power
                         ? "write amperes, as in 0.16 or 160 mA"
                         : "write ohms, as in 1.5, 2.2 kohm or open; several with blanks between";
  if (const std::string meant = with_point(word); !meant.empty())
    hint = fmt::format("write {}: a point, no comma", meant);
  return failure(ErrorKind::bad_input, "cold.readings", fmt::format("\"{}\" is no reading", word), hint);
}

Result<double> number_of(std::string_view word, StepKind kind) {
  const std::string small = lower(word);
  if (kind != StepKind::first_power && (small == "open" || small == "ol" || small == "inf")) return open_circuit;
  double value = 0.0;
  const auto [end, problem] = std::from_chars(word.data(), word.data() + word.size(), value);
  if (problem != std::errc{} || !std::isfinite(value) || value < 0.0 || value > 1e12) return not_a_reading(word, kind);
  const std::string_view unit = word.substr(static_cast<std::size_t>(end - word.data()));
  if (unit.empty()) return value;
  const Scale* scale = scale_of(unit, kind);
  if (scale == nullptr) return not_a_reading(word, kind);
  return value * scale->factor;
}

struct Line {
  std::string_view id;
  std::string_view values;
  bool whole = false;
};

// Where a table's line is parted: at each ";" outside quotes, at each "," where there is none.
struct Cuts {
  std::vector<std::size_t> at;
  bool commas = false;
};

Cuts cuts_of(std::string_view line) {
  std::vector<std::size_t> commas, semicolons;
  bool quoted = false;
  for (std::size_t n = 0; n < line.size(); ++n) {
    if (line[n] == '"') quoted = !quoted;
    if (!quoted && line[n] == ',') commas.push_back(n);
    if (!quoted && line[n] == ';') semicolons.push_back(n);
  }
  return semicolons.empty() ? Cuts{commas, true} : Cuts{semicolons};
}

Line parted(std::string_view line) {
  const std::size_t equals = line.find('=');
  if (equals != std::string_view::npos)
    return {trimmed(line.substr(0, equals)), trimmed(line.substr(equals + 1)), true};
  const Cuts cuts = cuts_of(line);
  if (cuts.at.empty()) return {trimmed(line), {}, false};
  std::size_t last = cuts.at.back();
  if (cuts.commas && cuts.at.size() > 1) {
    // A decimal comma has parted a number: put together again it is told as no reading.
    const std::size_t before = cuts.at[cuts.at.size() - 2];
    const std::string_view field = trimmed(line.substr(before + 1, last - before - 1));
    if (!field.empty() && field.find_first_not_of("0123456789. ") == std::string_view::npos) last = before;
  }
  return {trimmed(line.substr(0, cuts.at.front())), trimmed(line.substr(last + 1)), true};
}

// What is wrong in one line, or nothing.
std::string take_line(std::string_view line, const Sheet& sheet, Readings& readings) {
  const Line parts = parted(line);
  if (!parts.whole) return fmt::format("\"{}\" is no line of readings; write ID = READINGS", parts.id);
  if (parts.id == "id" || parts.values.empty()) return "";  // a table's heading; a step that is not read yet
  const Step* step = find(sheet, std::string(parts.id));
  if (step == nullptr) {
    std::vector<std::string> ids;
    for (const auto* steps : {&sheet.steps, &sheet.power}) {
      for (const Step& s : *steps) ids.push_back(s.id);
    }
    const std::string near = nearest(parts.id, ids);
    return fmt::format("there is no step \"{}\"{}", parts.id, near.empty() ? "" : "; did you mean " + near + "?");
  }
  if (readings.count(step->id) != 0) return fmt::format("{} stands there twice", step->id);
  const auto values = read_values(std::string(parts.values), step->kind);
  if (!values) return values.error().message + "; " + values.error().hint;
  readings[step->id].values = *values;
  return "";
}

}  // namespace

Result<std::vector<double>> read_values(const std::string& text, StepKind kind) {
  std::vector<double> values;
  std::string_view rest = trimmed(text);
  while (!rest.empty()) {
    const std::size_t blank = rest.find_first_of(" \t/");
    const std::string_view word = rest.substr(0, blank);
    rest = blank == std::string_view::npos ? std::string_view() : trimmed(rest.substr(blank + 1));
    if (const Scale* scale = scale_of(word, kind); scale != nullptr && !values.empty()) {
      values.back() *= scale->factor;  // "2.2 kohm" in two words: the unit of the number before it
      continue;
    }
    const auto value = number_of(word, kind);
    if (!value) return tl::unexpected(value.error());
    values.push_back(*value);
  }
  if (values.empty() || values.size() > most_readings) return not_a_reading(text, kind);
  return values;
}

Result<Readings> read_list(const std::string& name, const std::string& text, const Sheet& sheet) {
  Readings readings;
  std::string wrong;
  std::size_t faults = 0;
  int number = 0;
  std::string_view rest = text;
  while (!rest.empty()) {
    const std::size_t end = rest.find('\n');
    std::string_view line = rest.substr(0, end);
    rest = end == std::string_view::npos ? std::string_view() : rest.substr(end + 1);
    ++number;
    line = trimmed(line.substr(0, line.find('#')), only_blanks);
    if (line.empty()) continue;
    const std::string fault = take_line(line, sheet, readings);
    if (fault.empty() || ++faults > most_faults_told) continue;
    wrong += fmt::format("{}{}:{}: {}", wrong.empty() ? "" : "\n", name, number, fault);
  }
  if (faults > most_faults_told) {
    wrong += fmt::format("\nand {} lines more like these: is {} a list of readings?", faults - most_faults_told, name);
  }
  if (readings.empty() && wrong.empty()) wrong = fmt::format("there are no readings in {}", name);
  if (!wrong.empty()) {
    return failure(ErrorKind::bad_input, "cold.readings", wrong, "docs/cold.md has an example of such a list");
  }
  return readings;
}

}  // namespace ringout::cold
