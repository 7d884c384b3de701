#include "find/case_log.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace ringout::find {

namespace {

constexpr const char* gone = " (not part of this machine any more)";

struct EntryText {
  const Model& model;

  [[nodiscard]] std::string name(Step step) const {
    if (step.kind == Step::Kind::observe) return model.observations[step.index].name;
    return step.kind == Step::Kind::repair ? model.repairs[step.index].name : "call for help";
  }
  std::string operator()(const Saw& e) const { return text_of(model, Event(Answer{e.observation, e.outcome})); }
  std::string operator()(const CouldNotTell& e) const {
    return model.observations[e.observation].name + ": could not be told";
  }
  std::string operator()(const PutAside& e) const { return name(e.step) + ": not now"; }
  std::string operator()(const Done& e) const {
    if (!e.other.empty()) return "done: " + e.other + gone;
    return e.repair ? "done: " + model.repairs[*e.repair].name : "something else was done, and it works";
  }
  std::string operator()(const Proof& e) const {
    if (e.result == Proof::Result::held) return fmt::format("tried again: works, {} times in a row", e.times);
    return "tried again: still wrong";
  }
  std::string operator()(const Called&) const { return "called for help"; }
  std::string operator()(const TookBack& e) const { return fmt::format("took back no. {}", e.entry + 1); }
  std::string operator()(const Closed& e) const {
    if (!e.others.empty()) return fmt::format("closed: {}{}", fmt::join(e.others, " + "), gone);
    return "closed: " + (e.found.empty() ? "nobody knows what it was" : full_name(model, e.found));
  }
  std::string operator()(const Foreign& e) const { return e.text + gone; }
};

// Takes back what the answer repeats; false where it only repeats the complaint.
bool replaces(const Model& model, const Answer& answer, Learned& so_far) {
  for (std::size_t i = so_far.events.size(); i-- > 0;) {
    const auto* repair = std::get_if<FailedRepair>(&so_far.events[i]);
    if (repair != nullptr && may_change(model, repair->repair, answer.observation)) return true;
    const auto* before = std::get_if<Answer>(&so_far.events[i]);
    if (before == nullptr || before->observation != answer.observation) continue;
    so_far.events.erase(so_far.events.begin() + static_cast<std::ptrdiff_t>(i));
    so_far.entry.erase(so_far.entry.begin() + static_cast<std::ptrdiff_t>(i));
  }
  return std::none_of(model.symptoms.begin(), model.symptoms.end(), [&](const Symptom& s) {
    return s.observation == answer.observation && s.outcome == answer.outcome;
  });
}

}  // namespace

std::vector<bool> counting(const std::vector<Entry>& entries) {
  std::vector<bool> out(entries.size(), true);
  for (std::size_t i = 0; i < entries.size(); ++i) {
    const auto* back = std::get_if<TookBack>(&entries[i]);
    if (back == nullptr) continue;
    out[i] = false;
    if (back->entry < i) out[back->entry] = false;
  }
  return out;
}

std::optional<Index> helping_repair(const std::vector<Entry>& entries) {
  const std::vector<bool> counts = counting(entries);
  std::optional<Index> repair;
  for (std::size_t i = 0; i < entries.size(); ++i) {
    const auto* done = counts[i] ? std::get_if<Done>(&entries[i]) : nullptr;
    if (done != nullptr) repair = done->repair;
    if (counts[i] && std::holds_alternative<Called>(entries[i])) repair.reset();
  }
  return repair;
}

bool may_change(const Model& model, Index repair, Index observation) {
  const std::vector<Effect>& effects = model.observations[observation].effects;
  const std::vector<Mend>& mends = model.repairs[repair].mends;
  return std::any_of(effects.begin(), effects.end(), [&](const Effect& e) {
    return std::any_of(mends.begin(), mends.end(), [&](const Mend& m) { return m.mode == e.mode; });
  });
}

Learned events_of(const Model& model, const std::vector<Entry>& entries) {
  Learned out;
  const std::vector<bool> counts = counting(entries);
  std::optional<std::size_t> done;  // and not proved yet
  const auto add = [&](const Event& event, std::size_t entry) {
    out.events.push_back(event);
    out.entry.push_back(entry);
  };
  for (std::size_t i = 0; i < entries.size(); ++i) {
    if (!counts[i]) continue;
    if (const auto* saw = std::get_if<Saw>(&entries[i])) {
      const Answer answer{saw->observation, saw->outcome};
      if (replaces(model, answer, out)) add(answer, i);
    }
    if (std::holds_alternative<Done>(entries[i])) done = i;
    const auto* proof = std::get_if<Proof>(&entries[i]);
    if (proof == nullptr || !done) continue;
    const std::optional<Index> repair = std::get<Done>(entries[*done]).repair;
    if (repair && proof->result == Proof::Result::failed) add(FailedRepair{*repair}, *done);
    done.reset();
  }
  return out;
}

std::string text_of(const Model& model, const Entry& entry) {
  return std::visit(EntryText{model}, entry);
}

std::string text_of(const Model& model, const Event& event) {
  if (const auto* a = std::get_if<Answer>(&event)) {
    const Observation& o = model.observations[a->observation];
    return o.name + ": " + o.outcomes[a->outcome];
  }
  return model.repairs[std::get<FailedRepair>(event).repair].name + ": still wrong after it";
}

}  // namespace ringout::find
