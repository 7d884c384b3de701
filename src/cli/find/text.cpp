#include "cli/find/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ringout::cli {
namespace {

using find::Index;
using find::Step;
using find::View;

constexpr std::size_t width = 78;
constexpr std::size_t evidence_shown = 4;
constexpr double telling_from = 1.2;  // times likelier or less likely: what tells less is left out
constexpr std::size_t doubts_shown = 3;

std::string upper(std::string text) {
  for (char& c : text) c = static_cast<char>(c >= 'a' && c <= 'z' ? c - 'a' + 'A' : c);
  return text;
}

// "text                     note", the note at the right edge.
std::string with_note(const std::string& text, const std::string& note) {
  const std::size_t taken = columns_of(text) + columns_of(note);
  if (note.empty()) return text;
  if (taken + 2 > width) return text + "\n" + std::string(width - std::min(width, columns_of(note)), ' ') + note;
  return text + std::string(width - taken, ' ') + note;
}

std::string paragraph(const std::string& margin, const std::string& text) {
  return margin + wrapped(text, width - margin.size(), margin.size()) + "\n";
}

std::string name_of(const find::Model& model, Step step) {
  if (step.kind == Step::Kind::observe) return model.observations[step.index].name;
  return step.kind == Step::Kind::repair ? model.repairs[step.index].name : "call for help";
}

// How much likelier an answer makes a fault.
std::string factor_text(double weight) {
  const double times = std::exp(std::abs(weight));
  const char* way = weight > 0 ? "likelier" : "less likely";
  if (times >= 1000) return fmt::format("more than 1000 times {}", way);
  return fmt::format("{:.{}f} times {}", times, times < 10 ? 1 : 0, way);
}

// `events`: all that was learned, in words.
std::string weights_text(const char* head, const std::vector<find::Evidence>& evidence,
                         const std::vector<std::string>& events) {
  std::string out;
  for (std::size_t i = 0; i < std::min(evidence_shown, evidence.size()); ++i) {
    if (std::abs(evidence[i].weight) < std::log(telling_from)) break;  // the heaviest stand first
    out += padded(i == 0 ? head : "", 12) +
           wrapped(events[evidence[i].event] + " (" + factor_text(evidence[i].weight) + ")", width - 12, 12) + "\n";
  }
  return out;
}

std::string suspect_text(const CaseSubject& subject, const find::Suspect& s) {
  return fmt::format("  {:>7}  ", chance_text(s.chance)) + wrapped(subject.faults[s.mode], width - 11, 11) + "\n";
}

// How many of the likeliest stand one a line: those that hold nine tenths of all that is believed, but no fewer than
// `fewest`; one alone is not left over.
std::size_t listed_by_name(const std::vector<find::Suspect>& suspects) {
  constexpr double of_the_belief = 0.9;
  constexpr std::size_t fewest = 6, most = 12;
  double all = 0.0;
  for (const find::Suspect& s : suspects) all += s.chance;
  double held = 0.0;
  std::size_t shown = 0;
  while (shown < std::min(most, suspects.size()) && (shown < fewest || held < of_the_belief * all))
    held += suspects[shown++].chance;
  return shown + 1 == suspects.size() ? suspects.size() : shown;
}

// "and 14 more, each at most 1.2 %: clamp (3), lift wire (2), …": so that no part is forgotten.
std::string others_text(const find::Model& model, const std::vector<find::Suspect>& suspects, std::size_t shown) {
  constexpr std::size_t parts_named = 8;
  std::vector<std::pair<Index, std::size_t>> parts;  // in the order of their likeliest
  for (std::size_t i = shown; i < suspects.size(); ++i) {
    const Index part = model.modes[suspects[i].mode].part;
    const auto it = std::find_if(parts.begin(), parts.end(), [&](const auto& p) { return p.first == part; });
    if (it != parts.end()) {
      ++it->second;
    } else {
      parts.emplace_back(part, 1);
    }
  }
  std::string out =
      fmt::format("and {} more, each at most {}: ", suspects.size() - shown, chance_text(suspects[shown].chance));
  for (std::size_t i = 0; i < std::min(parts_named, parts.size()); ++i) {
    const auto& [part, count] = parts[i];
    out += (i == 0 ? "" : ", ") + model.parts[part].name + (count == 1 ? "" : fmt::format(" ({})", count));
  }
  if (parts.size() > parts_named) out += fmt::format(", and {} parts more", parts.size() - parts_named);
  return "           " + wrapped(out + "; \"why\" lists all", width - 11, 11) + "\n";
}

// Nobody can be called, and what would surely mend some fault was skipped or has been done.
std::string no_way_text(const find::Model& model, const find::Recommendation& next) {
  std::string out = paragraph(
      "", "No way to the end is left: a repair that may be needed was skipped, or did not help. What could be done:");
  for (const find::Alternative& a : next.alternatives)
    out += with_note("  " + name_of(model, a.step), minutes_text(a.cost)) + "\n";
  return out;
}

// The steps that were compared. A large model is not searched to its end: what a step leaves is then priced by one
// plan.
std::string ways_text(const find::Model& model, const find::Recommendation& next) {
  const find::Alternative& chosen = next.alternatives.front();
  if (!chosen.expected) return no_way_text(model, next);
  const bool near = chosen.priced == find::Alternative::Priced::one_step_ahead;
  std::string out = paragraph(
      "", fmt::format("From here to the end: {}{}{}, and nothing can promise less than {}.", near ? "about " : "",
                      minutes_text(*chosen.expected), near ? ", looking one step ahead" : " on average",
                      minutes_text(next.lower ? std::min(*chosen.expected, *next.lower) : *chosen.expected)));
  out += near ? "What else could be done, with the time to the end one step ahead:\n"
              : "What else could be done, with the expected time to the end:\n";
  for (const find::Alternative& a : next.alternatives)
    out +=
        with_note(fmt::format("  {:>8}  {}", minutes_text(*a.expected), name_of(model, a.step)), minutes_text(a.cost)) +
        "\n";
  return out;
}

std::string readings_text(const CaseSubject& subject, const View& view) {
  std::string out;
  for (const find::Reading& r : view.readings) {
    std::string line = fmt::format(
        "If \"{}\" ({})", subject.model.observations[view.next->step.index].outcomes[r.outcome], chance_text(r.chance));
    for (std::size_t i = 0; i < r.then.size(); ++i)
      line +=
          fmt::format("{}{} {}", i == 0 ? ": " : ", ", subject.faults[r.then[i].mode], chance_text(r.then[i].chance));
    out += wrapped(line, width, 2) + "\n";
    if (r.rules_out.empty()) continue;
    const std::size_t others = r.rules_out.size() - 1;
    out += paragraph("    ", "rules out " + subject.faults[r.rules_out.front()] +
                                 (others == 0 ? "" : fmt::format(", and {} more", others)));
  }
  return out;
}

// Where "Likely now" left some out.
std::string all_suspects_text(const CaseSubject& subject, const View& view) {
  if (listed_by_name(view.suspects) == view.suspects.size()) return "";
  std::string out = "All suspects of at least one in a thousand:\n";
  for (const find::Suspect& s : view.suspects) out += suspect_text(subject, s);
  return out;
}

// What a chance is surely below: rounded up.
std::string bound_text(double bound) {
  const double percent = bound * 100;
  if (percent < 10) return fmt::format("{:.1f} %", std::max(0.1, std::ceil(percent * 10) / 10));
  return fmt::format("{:.0f} %", std::min(100.0, std::ceil(percent)));
}

}  // namespace

std::string chance_text(double chance) {
  if (chance >= 1.0) return "100 %";
  if (chance >= 0.995) return "> 99 %";
  if (chance >= 0.01) return fmt::format("{:.0f} %", chance * 100);
  if (chance >= 0.001) return fmt::format("{:.1f} %", chance * 100);
  return "< 0.1 %";
}

std::string minutes_text(double minutes) {
  if (minutes < 0.95) return fmt::format("{:.0f} s", std::max(1.0, std::round(minutes * 12) * 5));
  if (minutes < 119.5) return fmt::format("{:.0f} min", minutes);
  return fmt::format("{:.1f} h", minutes / 60);
}

std::string opening_text(const CaseSubject& subject) {
  std::string out = upper(subject.about) + "\n";
  for (const std::string& one : subject.trouble) out += paragraph("  ", one);
  for (const std::string& note : subject.notes) out += paragraph("  ", "note: " + note);
  return out;
}

std::string suspects_text(const CaseSubject& subject, const View& view, Colour colour) {
  const std::string head = paint("Likely now", Tone::strong, colour);
  const std::string so_far = view.made == 0 ? std::string()
                                            : fmt::format("after {} step{}, {}", view.made, view.made == 1 ? "" : "s",
                                                          minutes_text(view.spent));
  std::string out = "\n" + with_note(head, so_far) + "\n";
  const std::size_t shown = listed_by_name(view.suspects);
  for (std::size_t i = 0; i < shown; ++i) out += suspect_text(subject, view.suspects[i]);
  if (shown < view.suspects.size()) out += others_text(subject.model, view.suspects, shown);
  if (view.left_out > 0.0) {
    out += fmt::format("  {:>7}  something else: more than {} faults at once (surely below {})\n",
                       chance_text(view.more_guess), view.faults_weighed, bound_text(view.left_out));
  } else if (subject.model.faults == find::Faults::exactly_one) {
    out += "           something else is not weighed: this model has one fault at a time\n";
  } else {
    out += "           what this model does not know is not weighed; all that it knows is\n";
  }
  return out;
}

std::string doubts_text(const find::Model& model, const View& view, const std::vector<find::Entry>& entries,
                        Colour colour) {
  if (view.status != find::Status::open || view.conflict.doubts.empty()) return {};
  const std::vector<find::Doubt>& doubts = view.conflict.doubts;
  std::string out = "  " + paint("!", Tone::attention, colour) + " " +
                    wrapped(
                        "Nothing that is likely explains all the answers. Look again, or take one back (b), the most "
                        "doubtful first:",
                        width - 4, 4) +
                    "\n";
  for (std::size_t i = 0; i < std::min(doubts_shown, doubts.size()); ++i)
    out += paragraph("           ", find::text_of(model, entries[doubts[i].event]));
  return out;
}

std::string bench_text(const find::Model& model, find::Index observation) {
  return "bench  " + model.observations[observation].name + "\n";
}

std::string entry_text(const find::Model& model, const find::Entry& entry, const std::vector<find::Entry>& before) {
  const auto* saw = std::get_if<find::Saw>(&entry);
  const bool bench = saw != nullptr && saw->by == find::By::bench;
  if (!bench) return paragraph("kept   ", find::text_of(model, entry, before));
  return paragraph("       ", model.observations[saw->observation].outcomes[saw->outcome]);
}

std::string kept_text(const find::Model& model, const find::Entry& entry) {
  return paragraph("kept   ", find::text_of(model, entry));
}

std::string tried_text(const std::optional<find::Proof::Result>& tried) {
  if (!tried) return paragraph("       ", "left to you: it could not make all the tries itself");
  return paragraph("       ", *tried == find::Proof::Result::held ? fmt::format("it holds, {} times", find::proof_times)
                                                                  : "still wrong");
}

std::string ask_text(const find::Ask& ask, Colour colour) {
  using Kind = find::Ask::Kind;
  const bool step = ask.step.has_value();
  const bool check = step && (ask.kind == Kind::check || ask.kind == Kind::ready);
  const char* verb = check ? "Check: " : ask.kind == Kind::repair ? "Mend: " : "";
  const std::string head = verb + ask.text;
  std::string out = "\n" +
                    (step ? with_note(paint(head, Tone::strong, colour), "about " + minutes_text(ask.cost))
                          : paint(head, Tone::strong, colour)) +
                    "\n";
  if (!ask.caution.empty())
    out += "  " + paint("!", Tone::attention, colour) + " " + wrapped(ask.caution, width - 4, 4) + "\n";
  if (!ask.instructions.empty()) out += paragraph("  ", ask.instructions);
  return out;
}

std::string reading_text(const CaseSubject& subject, const find::Reading& reading) {
  std::string out = chance_text(reading.chance);
  if (reading.then.empty()) return out;
  out +=
      fmt::format("; then {} {}", subject.faults[reading.then.front().mode], chance_text(reading.then.front().chance));
  if (!reading.rules_out.empty()) out += fmt::format("; rules out {}", reading.rules_out.size());
  return out;
}

std::string faults_text(const CaseSubject& subject, const find::FaultSet& faults) {
  std::string out;
  for (const Index mode : faults) out += (out.empty() ? "" : ", and ") + subject.faults[mode];
  return out;
}

std::string why_text(const CaseSubject& subject, const View& view) {
  if (!view.next) return "\nNothing is left to do.\n" + all_suspects_text(subject, view);
  std::string out = "\n" + ways_text(subject.model, *view.next);
  if (view.next->step.kind == Step::Kind::observe) out += readings_text(subject, view);
  if (view.call_cost) {
    out += paragraph("", fmt::format("When to stop: once the way to the end is longer than {}, call for help.",
                                     minutes_text(*view.call_cost)));
  }
  return out + all_suspects_text(subject, view);
}

std::string diagnosis_text(const CaseSubject& subject, const View& view, const std::vector<find::Entry>& entries,
                           Colour colour) {
  const find::Diagnosis& found = *view.diagnosis;
  const std::vector<std::string> events = find::texts_of(subject.model, entries);
  std::string out;
  std::size_t i = 0;
  for (const Index mode : found.faults) {
    const Advice& advice = subject.advice[mode];
    const find::Conclusion& conclusion = found.evidence[i++];
    out += "\n" + paint("FOUND", Tone::good, colour) +
           fmt::format(" ({}): ", chance_text(found.chance_of(conclusion))) +
           paint(wrapped(subject.faults[mode], width - 16, 12), Tone::strong, colour) + "\n";
    const auto row = [&](const char* name, const std::string& text) {
      if (!text.empty()) out += padded(name, 12) + wrapped(text, width - 12, 12) + "\n";
    };
    row("settled by", advice.settled_by);
    row("change", advice.change);
    row("closed by", advice.proof);
    std::string now;
    if (found.mended || found.closed) now = ", " + chance_text(conclusion.now);
    if (!now.empty()) now += found.mended ? " before the repair that helped" : " with all that was answered";
    row("before", chance_text(conclusion.prior) + " likely with the complaint alone" + now);
    out += weights_text("for it", conclusion.for_it, events);
    out += weights_text("against it", conclusion.against_it, events);
  }
  return out;
}

}  // namespace ringout::cli
