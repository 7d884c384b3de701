#include "find/learning.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <optional>

namespace ringout::find {

namespace {

constexpr std::string_view first_line = "ringout fault history 1";

// Tabs and line ends part fields and lines.
std::string field(std::string name) {
  for (char& c : name) c = static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
  return name;
}

std::vector<double> updated(const std::vector<double>& chance, const std::vector<std::string>& outcomes,
                            const std::map<std::string, double>& counts, double strength) {
  double sum = strength;
  std::vector<double> out;
  for (std::size_t k = 0; k < chance.size(); ++k) {
    const auto at = counts.find(field(outcomes[k]));
    const double count = at == counts.end() ? 0.0 : at->second;
    out.push_back(chance[k] * strength + count);
    sum += count;
  }
  for (double& c : out) c /= sum;
  return out;
}

std::vector<std::string> fields_of(std::string_view line) {
  std::vector<std::string> out(1);
  for (const char c : line) {
    if (c == '\t') {
      out.emplace_back();
    } else {
      out.back() += c;
    }
  }
  return out;
}

std::optional<double> count_of(const std::string& text) {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  const bool good = error == std::errc{} && end == text.data() + text.size() && std::isfinite(value);
  return good && value >= 0 && value <= 1e9 ? std::optional(value) : std::nullopt;
}

}  // namespace

void record(History& history, const Model& model, const ClosedCase& closed) {
  const Likelihood likelihood(model);
  history.cases += 1;
  for (const Index m : closed.found) history.faults[field(full_name(model, m))] += 1;
  for (const Answer& a : closed.answers) {
    FaultSet visible;
    for (const Index m : closed.found) {
      if (likelihood.sees(a.observation, m)) visible.add(m);
    }
    if (visible.size() > 1) continue;
    const Observation& o = model.observations[a.observation];
    const std::string mode = visible.empty() ? "" : field(full_name(model, *visible.begin()));
    history.answers[field(o.name)][mode][field(o.outcomes[a.outcome])] += 1;
  }
}

void merge(History& into, const History& other) {
  into.cases += other.cases;
  for (const auto& [name, count] : other.faults) into.faults[name] += count;
  for (const auto& [check, modes] : other.answers) {
    for (const auto& [mode, outcomes] : modes) {
      for (const auto& [outcome, count] : outcomes) into.answers[check][mode][outcome] += count;
    }
  }
}

Model learned(const Model& model, const History& history, const Strength& strength) {
  RINGOUT_CHECK(strength.priors > 0 && strength.answers > 0);
  Model out = model;
  double sum = 0;
  for (const Mode& m : model.modes) sum += m.prior;
  const double scale = model.faults == Faults::exactly_one ? sum : 1.0;
  // Cases whose fault this model knows: for exactly one fault the others say nothing about it.
  double cases = 0;
  std::vector<double> found_of;
  std::vector<double> of_part(model.parts.size(), 0.0);
  for (Index m = 0; m < model.modes.size(); ++m) {
    const auto at = history.faults.find(field(full_name(model, m)));
    found_of.push_back(at == history.faults.end() ? 0.0 : at->second);
    of_part[model.modes[m].part] += found_of[m];
    cases += found_of[m];
  }
  if (model.faults != Faults::exactly_one) cases = history.cases;
  for (Index m = 0; m < model.modes.size(); ++m) {
    // A part has one fault at a time: more of them than cases are no count, whoever wrote the history.
    const double part = of_part[model.modes[m].part];
    const double count = part > cases ? found_of[m] * (cases / part) : found_of[m];
    out.modes[m].prior = (model.modes[m].prior / scale * strength.priors + count) / (strength.priors + cases);
  }
  for (Observation& o : out.observations) {
    const auto check = history.answers.find(field(o.name));
    if (check == history.answers.end()) continue;
    for (const auto& [mode, counts] : check->second) {
      if (mode.empty()) o.healthy = updated(o.healthy, o.outcomes, counts, strength.answers);
      for (Effect& e : o.effects) {
        if (field(full_name(model, e.mode)) == mode) e.chance = updated(e.chance, o.outcomes, counts, strength.answers);
      }
    }
  }
  return out;
}

std::string write_history(const History& history) {
  std::string out = fmt::format("{}\ncases\t{}\n", first_line, history.cases);
  for (const auto& [name, count] : history.faults) out += fmt::format("fault\t{}\t{}\n", count, name);
  for (const auto& [check, modes] : history.answers) {
    for (const auto& [mode, outcomes] : modes) {
      for (const auto& [outcome, count] : outcomes)
        out += fmt::format("answer\t{}\t{}\t{}\t{}\n", count, check, mode, outcome);
    }
  }
  return out;
}

History read_history(const SourceText& text, Diagnostics& found) {
  History out;
  if (text.line(1) != first_line) {
    found.error(text, {1, 1, 1}, "history.not-one", "this is no fault history that can be read",
                fmt::format("its first line must be: {}", first_line));
    return out;
  }
  std::map<std::string, int> line_of;  // of each fault
  const auto lines = static_cast<int>(std::count(text.text().begin(), text.text().end(), '\n')) + 1;
  for (int number = 2; number <= lines; ++number) {
    const std::string_view line = text.line(number);
    if (line.empty()) continue;
    const std::vector<std::string> f = fields_of(line);
    const std::optional<double> count = f.size() > 1 ? count_of(f[1]) : std::nullopt;
    if (count && f[0] == "cases" && f.size() == 2) {
      out.cases += *count;
    } else if (count && f[0] == "fault" && f.size() == 3) {
      out.faults[f[2]] += *count;
      line_of[f[2]] = number;
    } else if (count && f[0] == "answer" && f.size() == 5) {
      out.answers[f[2]][f[3]][f[4]] += *count;
    } else {
      found.error(text, {number, 1, static_cast<int>(std::min<std::size_t>(line.size(), 80))}, "history.bad-line",
                  "this line is not a count", "write the kind, a tab, the count, and the names parted by tabs");
    }
  }
  for (const auto& [name, number] : line_of) {
    if (out.faults[name] <= out.cases) continue;
    found.error(text, {number, 1, static_cast<int>(std::min<std::size_t>(text.line(number).size(), 80))},
                "history.more-than-cases",
                fmt::format("{} is found {:g} times in {:g} cases", name, out.faults[name], out.cases),
                "a case finds a fault once: put the count right, or the count of the cases");
  }
  return out;
}

}  // namespace ringout::find
