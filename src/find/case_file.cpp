#include "find/case_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

namespace ringout::find {

namespace {

constexpr std::string_view first_line = "ringout case 1";

// Tabs and line ends part fields and lines.
std::string field(std::string text) {
  for (char& c : text) c = static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
  return text;
}

std::string line_of(const std::vector<std::string>& fields) {
  std::string out;
  for (const std::string& f : fields) out += (out.empty() ? "" : "\t") + field(f);
  return out + "\n";
}

std::vector<std::string> fields_of(std::string_view line) {
  std::vector<std::string> out(1);
  for (const char c : line) {
    if (c == '\t') {
      out.emplace_back();
    } else if (c != '\r') {
      out.back() += c;
    }
  }
  return out;
}

std::vector<std::string> step_fields(const Model& model, Step step) {
  if (step.kind == Step::Kind::observe) return {"check", model.observations[step.index].name};
  if (step.kind == Step::Kind::repair) return {"repair", model.repairs[step.index].name};
  return {"call"};
}

struct FieldsOf {
  const Model& model;

  std::vector<std::string> operator()(const Saw& e) const {
    const Observation& o = model.observations[e.observation];
    return {"saw", e.by == By::bench ? "bench" : "person", o.name, o.outcomes[e.outcome]};
  }
  std::vector<std::string> operator()(const CouldNotTell& e) const {
    return {"could_not_tell", model.observations[e.observation].name};
  }
  std::vector<std::string> operator()(const PutAside& e) const {
    std::vector<std::string> out{"put_aside"};
    for (std::string& f : step_fields(model, e.step)) out.push_back(std::move(f));
    return out;
  }
  std::vector<std::string> operator()(const Done& e) const {
    if (!e.other.empty()) return {"done", e.other};
    return e.repair ? std::vector<std::string>{"done", model.repairs[*e.repair].name}
                    : std::vector<std::string>{"done"};
  }
  std::vector<std::string> operator()(const WasRight& e) const { return {"right", model.repairs[e.repair].name}; }
  std::vector<std::string> operator()(const Proof& e) const {
    return {"proof", e.result == Proof::Result::held ? "held" : "failed", std::to_string(e.times)};
  }
  std::vector<std::string> operator()(const Called&) const { return {"called"}; }
  std::vector<std::string> operator()(const TookBack& e) const { return {"took_back", std::to_string(e.entry + 1)}; }
  std::vector<std::string> operator()(const Closed& e) const {
    std::vector<std::string> out{"closed"};
    for (const Index m : e.found) out.push_back(full_name(model, m));
    out.insert(out.end(), e.others.begin(), e.others.end());
    return out;
  }
  std::vector<std::string> operator()(const Foreign& e) const { return fields_of(e.text); }
};

std::optional<std::size_t> number_of(const std::string& text) {
  std::size_t value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  return error == std::errc{} && end == text.data() + text.size() ? std::optional(value) : std::nullopt;
}

// Whether the fields have the form of an entry, whatever they name; `before` entries stand before it.
bool is_entry(const std::vector<std::string>& f, std::size_t before) {
  const std::string& kind = f.front();
  if (kind == "saw") return f.size() == 4 && (f[1] == "bench" || f[1] == "person");
  if (kind == "could_not_tell" || kind == "right") return f.size() == 2;
  if (kind == "put_aside")
    return (f.size() == 3 && (f[1] == "check" || f[1] == "repair")) || (f.size() == 2 && f[1] == "call");
  if (kind == "done") return f.size() <= 2;
  if (kind == "proof") return f.size() == 3 && (f[1] == "held" || f[1] == "failed") && number_of(f[2]).value_or(0) > 0;
  if (kind == "called") return f.size() == 1;
  if (kind == "took_back") {
    const std::size_t entry = f.size() == 2 ? number_of(f[1]).value_or(0) : 0;
    return entry >= 1 && entry <= before;
  }
  return kind == "closed" && f.size() <= 1 + FaultSet::capacity;
}

template <class Things>
std::optional<Index> named(const Things& things, const std::string& name) {
  for (Index i = 0; i < things.size(); ++i) {
    if (field(things[i].name) == name) return i;
  }
  return std::nullopt;
}

std::optional<Step> step_of(const Model& model, const std::vector<std::string>& f) {
  if (f[1] == "call") return model.call_cost ? std::optional(Step{Step::Kind::call, 0}) : std::nullopt;
  const bool check = f[1] == "check";
  const auto index = check ? named(model.observations, f[2]) : named(model.repairs, f[2]);
  if (!index) return std::nullopt;
  return Step{check ? Step::Kind::observe : Step::Kind::repair, *index};
}

std::optional<Entry> saw_of(const Model& model, const std::vector<std::string>& f) {
  const auto observation = named(model.observations, f[2]);
  if (!observation) return std::nullopt;
  const std::vector<std::string>& outcomes = model.observations[*observation].outcomes;
  for (Index k = 0; k < outcomes.size(); ++k) {
    if (field(outcomes[k]) == f[3]) return Saw{*observation, k, f[1] == "bench" ? By::bench : By::person};
  }
  return std::nullopt;
}

Closed closed_of(const Model& model, const std::vector<std::string>& f) {
  Closed out;
  for (std::size_t i = 1; i < f.size(); ++i) {
    Index mode = 0;
    while (mode < model.modes.size() && field(full_name(model, mode)) != f[i]) ++mode;
    if (mode == model.modes.size()) {
      out.others.push_back(f[i]);
    } else {
      out.found.add(mode);
    }
  }
  return out;
}

std::optional<Entry> entry_of(const Model& model, const std::vector<std::string>& f) {
  const std::string& kind = f.front();
  if (kind == "saw") return saw_of(model, f);
  if (kind == "closed") return closed_of(model, f);
  if (kind == "called") return Called{};
  if (kind == "took_back") return TookBack{*number_of(f[1]) - 1};
  if (kind == "proof") {
    return Proof{static_cast<int>(std::min<std::size_t>(*number_of(f[2]), 1000)),
                 f[1] == "held" ? Proof::Result::held : Proof::Result::failed};
  }
  if (kind == "put_aside") {
    const auto step = step_of(model, f);
    return step ? std::optional<Entry>(PutAside{*step}) : std::nullopt;
  }
  if (kind == "done" && f.size() == 1) return Done{};
  if (kind == "done") {
    const auto repair = named(model.repairs, f[1]);
    return repair ? Done{*repair} : Done{std::nullopt, f[1]};
  }
  if (kind == "right") {
    const auto repair = named(model.repairs, f[1]);
    return repair ? std::optional<Entry>(WasRight{*repair}) : std::nullopt;
  }
  const auto observation = named(model.observations, f[1]);
  return observation ? std::optional<Entry>(CouldNotTell{*observation}) : std::nullopt;
}

}  // namespace

std::string head_text(const CaseHead& head) {
  std::string out = std::string(first_line) + "\n" + line_of({"about", head.about});
  for (std::vector<std::string> fields : head.symptoms) {
    fields.insert(fields.begin(), "symptom");
    out += line_of(fields);
  }
  return out;
}

std::string line_text(const Model& model, const Entry& entry) {
  return line_of(std::visit(FieldsOf{model}, entry));
}

std::optional<KeptCase> read_case(const SourceText& text, Diagnostics& found) {
  KeptCase out;
  const std::string& all = text.text();
  const std::size_t last = all.rfind('\n');
  const std::size_t whole = last == std::string::npos ? 0 : last + 1;
  out.whole = all.substr(0, whole);
  out.cut_off = all.size() - whole;
  const std::size_t errors = found.all().size();
  const bool begun = whole > 0 ? text.line(1) == first_line : first_line.starts_with(all);
  if (!begun) {
    found.error(text, {1, 1, 1}, "case.not-one", "this is no kept case",
                fmt::format("its first line must be: {}", first_line));
    return std::nullopt;
  }
  const int lines = static_cast<int>(std::count(out.whole.begin(), out.whole.end(), '\n'));
  for (int number = 2; number <= lines; ++number) {
    const std::string_view line = text.line(number);
    const std::vector<std::string> f = fields_of(line);
    if (line.empty()) continue;
    if (f[0] == "about" && f.size() == 2 && out.head.about.empty() && out.lines.empty()) {
      out.head.about = f[1];
    } else if (f[0] == "symptom" && f.size() > 1 && out.lines.empty()) {
      out.head.symptoms.emplace_back(f.begin() + 1, f.end());
    } else if (!out.head.about.empty() && is_entry(f, out.lines.size())) {
      out.lines.push_back({f, number});
    } else {
      found.error(text, {number, 1, static_cast<int>(std::min<std::size_t>(line.size(), 80))}, "case.bad-line",
                  "this line is no entry of a case",
                  "take the line out, or begin a new case; docs/find.md has the form");
    }
  }
  if (found.all().size() != errors) return std::nullopt;
  return out;
}

std::vector<Entry> entries_of(const KeptCase& kept, const Model& model) {
  std::vector<Entry> out;
  for (const KeptCase::Line& line : kept.lines) {
    std::string text = line_of(line.fields);
    text.pop_back();
    out.push_back(entry_of(model, line.fields).value_or(Foreign{std::move(text)}));
  }
  return out;
}

}  // namespace ringout::find
