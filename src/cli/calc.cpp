#include "cli/calc.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "base/check.h"
#include "base/diagnostic.h"
#include "cli/terminal.h"

namespace ringout::cli {
namespace {

constexpr int draws = 2000;
constexpr std::size_t most_corners = 8;

struct Uncertain {
  std::string name;
  Toleranced value;
};

struct Reading {
  Given given;
  std::vector<Uncertain> uncertain;
};

tl::unexpected<Error> wrong(std::string id, std::string message, std::string hint) {
  return failure(ErrorKind::bad_input, std::move(id), std::move(message), std::move(hint));
}

std::string listed(const std::vector<std::string>& words, const char* before_last) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    text += (i == 0 ? "" : i + 1 == words.size() ? before_last : ", ") + words[i];
  }
  return text;
}

Result<void> read_word(const Asked& asked, const std::string& text, Given& given) {
  if (!asked.free_text && std::find(asked.words.begin(), asked.words.end(), text) == asked.words.end()) {
    const std::string near = nearest(text, asked.words);
    return wrong("calc.word",
                 fmt::format("--{}: \"{}\" is not one of {}", asked.name, text, listed(asked.words, " and ")),
                 near.empty() ? "write one of them" : "did you mean " + near + "?");
  }
  given.texts[asked.name] = text;
  return {};
}

// Efficiencies, duties and the like are within 0 and 1, ratios and most quantities not negative.
Result<void> check_range(const Asked& asked, double value) {
  const bool temperature = asked.measure == Measure::temperature;
  const std::string hint = fmt::format("--{}: {} ({})", asked.name, asked.meaning, expected_form(asked.measure));
  if (asked.measure == Measure::fraction && (value < 0.0 || value > 1.0)) {
    return wrong("calc.range", fmt::format("--{} must be between 0 and 100 %", asked.name), hint);
  }
  if (temperature && (value < 223.15 || value > 573.15)) {
    return wrong("calc.range", fmt::format("--{} must be between -50 and 300 °C", asked.name), hint);
  }
  if (asked.range == Range::positive && !(value > 0.0)) {
    return wrong("calc.range", fmt::format("--{} must be above zero", asked.name), hint);
  }
  if (asked.range == Range::not_negative && value < 0.0) {
    return wrong("calc.range", fmt::format("--{} must not be below zero", asked.name), hint);
  }
  return {};
}

Result<void> read_one(const Asked& asked, const std::string& text, Reading& reading) {
  if (!asked.words.empty() || asked.free_text) return read_word(asked, text, reading.given);
  const auto value = read_measure(text, asked.measure);
  if (!value) {
    Error error = value.error();
    error.message = "--" + asked.name + ": " + error.message;
    return tl::unexpected(error);
  }
  for (const double end : {value->si - value->half_width, value->si + value->half_width}) {
    if (auto in_range = check_range(asked, end); !in_range) return in_range;
  }
  reading.given.values[asked.name] = value->si;
  if (value->half_width > 0.0) reading.uncertain.push_back({asked.name, *value});
  return {};
}

Result<Reading> read_given(const Subject& subject, const std::map<std::string, std::string>& written,
                           std::vector<GivenQuantity>& shown_given) {
  std::set<std::string> named;
  for (const auto& [name, text] : written) {
    if (!text.empty()) named.insert(name);
  }
  if (auto complete = check_complete(subject, named); !complete) return tl::unexpected(complete.error());
  Reading reading;
  for (const Asked& asked : subject.asked) {
    const auto text = written.find(asked.name);
    const bool is_written = text != written.end() && !text->second.empty();
    const std::string& taken = is_written ? text->second : asked.fallback;
    if (taken.empty()) continue;
    if (auto one = read_one(asked, taken, reading); !one) return tl::unexpected(one.error());
    shown_given.push_back({asked.name, taken + (is_written ? "" : " (assumed)")});
  }
  return reading;
}

void widen(std::vector<Figure>& figures, const Result<Answer>& other) {
  if (!other) return;
  for (Figure& figure : figures) {
    for (const Figure& drawn : other->figures) {
      if (drawn.id != figure.id || std::isnan(drawn.value)) continue;
      figure.low = std::min(figure.low.value_or(drawn.value), drawn.value);
      figure.high = std::max(figure.high.value_or(drawn.value), drawn.value);
    }
  }
}

void spread_over(const Subject& subject, const Reading& reading, std::uint64_t seed, Answer& answer) {
  Given drawn = reading.given;
  const auto& uncertain = reading.uncertain;
  if (uncertain.size() <= most_corners) {
    for (std::size_t corner = 0; corner < (std::size_t{1} << uncertain.size()); ++corner) {
      for (std::size_t i = 0; i < uncertain.size(); ++i) {
        const double sign = (corner >> i & 1U) != 0 ? 1.0 : -1.0;
        drawn.values[uncertain[i].name] = uncertain[i].value.si + sign * uncertain[i].value.half_width;
      }
      widen(answer.figures, subject.answer(drawn));
    }
  }
  std::mt19937_64 chance(seed);
  for (int n = 0; n < draws; ++n) {
    for (const Uncertain& u : uncertain) {
      // Written out, because the library's distributions differ between implementations.
      const double unit = static_cast<double>(chance() >> 11U) * 0x1.0p-53;
      drawn.values[u.name] = u.value.si + (2.0 * unit - 1.0) * u.value.half_width;
    }
    widen(answer.figures, subject.answer(drawn));
  }
}

}  // namespace

double Given::of(std::string_view name) const {
  const auto found = values.find(name);
  RINGOUT_CHECK(found != values.end());
  return found->second;
}

std::string Given::text(std::string_view name) const {
  const auto found = texts.find(name);
  return found == texts.end() ? "" : found->second;
}

const std::vector<Subject>& calc_subjects() {
  static const std::vector<Subject> all = [] {
    std::vector<Subject> list;
    for (auto part : {motion_subjects(), supply_subjects(), protection_subjects()}) {
      for (Subject& subject : part) list.push_back(std::move(subject));
    }
    return list;
  }();
  return all;
}

Result<Calculation> calculate(const std::string& subject, const std::map<std::string, std::string>& written,
                              std::uint64_t seed) {
  const auto& all = calc_subjects();
  const auto found = std::find_if(all.begin(), all.end(), [&](const Subject& s) { return s.name == subject; });
  if (found == all.end()) {
    std::vector<std::string> names;
    for (const Subject& s : all) names.push_back(s.name);
    return wrong("calc.subject", fmt::format("there is no calculation \"{}\"", subject),
                 "write one of " + listed(names, " and "));
  }
  Calculation out;
  out.subject = &*found;
  const auto reading = read_given(*found, written, out.given);
  if (!reading) return tl::unexpected(reading.error());
  auto answer = found->answer(reading->given);
  if (!answer) return tl::unexpected(answer.error());
  out.answer = std::move(*answer);
  out.toleranced.reserve(reading->uncertain.size());
  for (const auto& u : reading->uncertain) out.toleranced.push_back(u.name);
  if (!reading->uncertain.empty()) spread_over(*found, *reading, seed, out.answer);
  return out;
}

std::string calculation_text(const Calculation& calculation) {
  std::string given = "given: ";
  for (std::size_t i = 0; i < calculation.given.size(); ++i) {
    given += (i == 0 ? "" : ", ") + calculation.given[i].name + " " + calculation.given[i].written;
  }
  std::string text = calculation.subject->description + "\n" + wrapped(given, 78, 2) + "\n\n";
  for (const Figure& figure : calculation.answer.figures) {
    const std::string value = shown(figure.measure, figure.value);
    text += fmt::format("  {} {}  {}\n", padded(figure.what, 30), padded(value, 13), wrapped(figure.formula, 30, 48));
    if (figure.low && figure.high && *figure.high > *figure.low) {
      text += fmt::format("  {} {} within the tolerances\n", std::string(30, ' '),
                          shown_between(figure.measure, *figure.low, *figure.high));
    }
  }
  text += "\n";
  std::vector<std::string> sources;
  for (const auto& source : calculation.answer.sources) {
    if (std::find(sources.begin(), sources.end(), source) == sources.end()) sources.push_back(source);
  }
  for (const auto& finding : calculation.answer.findings) text += wrapped("! " + finding, 78, 2) + "\n";
  for (const auto& assumption : calculation.answer.assumptions) text += wrapped("assumed: " + assumption, 78, 2) + "\n";
  for (const auto& source : sources) text += wrapped("source: " + source, 78, 2) + "\n";
  if (!calculation.toleranced.empty()) {
    text += wrapped(fmt::format("ranges: {} varied within the tolerances: their corners, and {} seeded draws",
                                listed(calculation.toleranced, " and "), draws),
                    78, 2) +
            "\n";
  }
  return text;
}

}  // namespace ringout::cli
