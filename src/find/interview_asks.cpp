// The questions of an interview, in plain words.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "find/interview_run.h"

namespace ringout::find {

namespace {

constexpr std::size_t most_guesses = 6;
constexpr const char* entry_prefix = "entry_";

void add_always(Ask& ask) {
  ask.choices.push_back({says::instead, "I did something else instead", 'i'});
  ask.choices.push_back({says::works, "it works now", 'w'});
  ask.choices.push_back({says::back, "take an answer back", 'b'});
  ask.choices.push_back({says::why, "why this, and what else", 'y'});
  ask.choices.push_back({says::quit, "quit; the case is kept", 'q'});
}

// What stands for a choice at a terminal: a number or a letter.
bool is_typed_for_a_choice(const std::string& id) {
  return id.size() == 1 || std::all_of(id.begin(), id.end(), [](char c) { return c >= '0' && c <= '9'; });
}

// No two choices of a question have one id, and none is what is typed for another choice.
std::string free_id(const std::vector<Choice>& choices, std::string id) {
  if (is_typed_for_a_choice(id)) id = "is_" + id;
  const auto taken = [&](const std::string& candidate) {
    return std::any_of(choices.begin(), choices.end(), [&](const Choice& c) { return c.id == candidate; });
  };
  static constexpr const char* reserved[] = {says::cannot_tell, says::not_now, says::instead,   says::works, says::back,
                                             says::why,         says::quit,    says::not_known, says::cancel};
  const bool own = std::any_of(std::begin(reserved), std::end(reserved), [&](const char* r) { return id == r; });
  if (!own && !taken(id)) return id;
  int number = 2;
  while (taken(fmt::format("{}_{}", id, number))) ++number;
  return fmt::format("{}_{}", id, number);
}

Ask ask_check(const Model& model, Index observation, double cost) {
  const Observation& o = model.observations[observation];
  Ask out{Ask::Kind::check,
          "check." + id_of(o.name),
          o.name,
          o.instructions,
          o.caution,
          cost,
          {},
          Step{Step::Kind::observe, observation}};
  for (const std::string& outcome : o.outcomes) out.choices.push_back({free_id(out.choices, id_of(outcome)), outcome});
  out.choices.push_back({says::cannot_tell, "can't tell", 't'});
  out.choices.push_back({says::not_now, "skip it", 's'});
  add_always(out);
  return out;
}

Ask ask_repair(const Model& model, Index repair, double cost) {
  const Repair& r = model.repairs[repair];
  Ask out{Ask::Kind::repair,
          "repair." + id_of(r.name),
          r.name,
          r.instructions,
          r.caution,
          cost,
          {},
          Step{Step::Kind::repair, repair}};
  out.choices.push_back({says::done, "done", 'd'});
  out.choices.push_back({says::right, "it was right already", 'r'});
  out.choices.push_back({says::not_now, "skip it", 's'});
  add_always(out);
  return out;
}

std::string entry_id(std::size_t entry) {
  return entry_prefix + std::to_string(entry + 1);
}

std::string step_id(const Model& model, Step step) {
  if (step.kind == Step::Kind::observe) return "check." + id_of(model.observations[step.index].name);
  return step.kind == Step::Kind::repair ? "repair." + id_of(model.repairs[step.index].name) : "call";
}

}  // namespace

std::string id_of(const std::string& name) {
  std::string out;
  for (const char letter : name) {
    const auto c = static_cast<unsigned char>(letter);
    const bool plain = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
    if (plain) {
      out += static_cast<char>(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
    } else if (!out.empty() && out.back() != '_') {
      out += '_';
    }
  }
  if (!out.empty() && out.back() == '_') out.pop_back();
  return out.empty() ? "x" : out;
}

Ask ask_step(const Model& model, Step step, double cost) {
  if (step.kind == Step::Kind::observe) return ask_check(model, step.index, cost);
  if (step.kind == Step::Kind::repair) return ask_repair(model, step.index, cost);
  Ask out{Ask::Kind::call,
          "call",
          "call for help",
          "What is left to try would take longer than help does.",
          "",
          cost,
          {},
          step};
  out.choices.push_back({says::done, "help was here, and it works", 'd'});
  out.choices.push_back({says::not_now, "not now", 's'});
  add_always(out);
  return out;
}

Ask ask_ready(const Model& model, Step step, double cost) {
  const Observation& o = model.observations[step.index];
  Ask out{Ask::Kind::ready, "ready." + id_of(o.name), o.name, o.instructions, o.caution, cost, {}, step};
  out.choices.push_back({says::go, "go", 'g'});
  out.choices.push_back({says::cannot_tell, "it can't be done", 't'});
  out.choices.push_back({says::not_now, "skip it", 's'});
  add_always(out);
  return out;
}

Ask ask_ready_for_proof() {
  Ask out{
      Ask::Kind::ready,
      "ready.prove",
      "the bench tries it first",
      "It moves what was mended a little and sees whether it answers. Put covers back first where they belong closed.",
      "Hands out, people clear, before anything moves.",
      0.0,
      {}};
  out.choices.push_back({says::go, "go", 'g'});
  out.choices.push_back({says::not_now, "no, I try it myself", 's'});
  out.choices.push_back({says::back, "take an answer back", 'b'});
  out.choices.push_back({says::quit, "quit; the case is kept", 'q'});
  return out;
}

Ask ask_proof() {
  Ask out{Ask::Kind::prove,
          "prove",
          fmt::format("work it {} times in a row", proof_times),
          "One good try proves nothing about a loose contact. Put covers back first where they belong closed.",
          "Hands out, people clear, before anything moves.",
          0.0,
          {}};
  out.choices.push_back({says::held, fmt::format("it works, all {} times", proof_times)});
  out.choices.push_back({says::failed, "still wrong, or not every time"});
  out.choices.push_back({says::back, "take an answer back", 'b'});
  out.choices.push_back({says::quit, "quit; the case is kept", 'q'});
  return out;
}

std::optional<std::size_t> entry_named(const std::string& id) {
  const std::string_view prefix = entry_prefix;
  if (!id.starts_with(prefix)) return std::nullopt;
  std::size_t number = 0;
  const char* const end = id.data() + id.size();
  const auto [read, wrong] = std::from_chars(id.data() + prefix.size(), end, number);
  return wrong == std::errc() && read == end && number > 0 ? std::optional(number - 1) : std::nullopt;
}

Ask ask_doubt(const Interview& interview, const View& view) {
  Ask out{Ask::Kind::contradiction,
          "doubt",
          "These answers cannot all be true. Which one do you doubt most?",
          "",
          "",
          0.0,
          {}};
  std::vector<std::size_t> order;
  for (const Doubt& d : view.conflict.doubts) order.push_back(d.event);
  for (const std::size_t e : view.conflict.events) {
    if (std::find(order.begin(), order.end(), e) == order.end()) order.push_back(e);
  }
  for (const std::size_t entry : order) {
    out.choices.push_back({entry_id(entry), text_of(interview.model(), interview.entries()[entry])});
  }
  out.choices.push_back({says::quit, "quit; the case is kept", 'q'});
  return out;
}

// What it may have been, likeliest first; behind that every other fault of the model, for who knows better.
Ask ask_found(const Model& model, const View& view) {
  Ask out{Ask::Kind::found, "found", "What was it in the end?", "The answer teaches the next case.", "", 0.0, {}};
  const auto offer = [&](const FaultSet& faults) {
    const std::string name = full_name(model, faults);
    out.choices.push_back({free_id(out.choices, id_of(name)), name, 0, faults});
  };
  for (std::size_t i = 0; i < std::min(most_guesses, view.found.size()); ++i) offer(view.found[i].faults);
  const std::vector<Choice> guessed = out.choices;
  for (Index m = 0; m < model.modes.size(); ++m) {
    const auto is_it = [&](const Choice& c) { return c.faults == FaultSet{m}; };
    if (std::none_of(guessed.begin(), guessed.end(), is_it)) offer({m});
  }
  out.choices.push_back({says::not_known, "something else, or not known", 'n'});
  out.choices.push_back({says::back, "take an answer back", 'b'});
  out.choices.push_back({says::quit, "quit; the case is kept", 'q'});
  return out;
}

Ask ask_instead(const Model& model, const std::vector<Index>& left_out) {
  Ask out{Ask::Kind::instead, "instead", "What did you do?", "", "", 0.0, {}};
  const auto offer = [&](Step step, const std::string& name) {
    out.choices.push_back({free_id(out.choices, step_id(model, step)), name, 0, {}, step});
  };
  for (Index o = 0; o < model.observations.size(); ++o) {
    const bool made_here = std::find(left_out.begin(), left_out.end(), o) == left_out.end();
    if (made_here) offer({Step::Kind::observe, o}, model.observations[o].name);
  }
  for (Index r = 0; r < model.repairs.size(); ++r) offer({Step::Kind::repair, r}, model.repairs[r].name);
  if (model.call_cost) offer({Step::Kind::call, 0}, "called for help");
  out.choices.push_back({says::cancel, "nothing of this list", 'c'});
  return out;
}

Ask ask_take_back(const Interview& interview) {
  Ask out{Ask::Kind::take_back, "take_back", "Which one?", "", "", 0.0, {}};
  out.instructions = "The complaint itself is none of them: where that was wrong, quit and begin another case.";
  const std::vector<bool> counts = counting(interview.entries());
  for (std::size_t i = counts.size(); i-- > 0;) {
    if (counts[i]) out.choices.push_back({entry_id(i), text_of(interview.model(), interview.entries()[i])});
  }
  out.choices.push_back({says::cancel, "none", 'c'});
  return out;
}

Ask ask_when_stuck(const View& view) {
  Ask out{Ask::Kind::stuck, "stuck", "Nothing is left to check or to mend.", "", "", 0.0, {}};
  if (view.put_aside > 0)
    out.instructions =
        fmt::format("{} steps were skipped or could not be told: take one back to try it.", view.put_aside);
  add_always(out);
  std::erase_if(out.choices, [](const Choice& c) { return c.id == says::why; });
  return out;
}

}  // namespace ringout::find
