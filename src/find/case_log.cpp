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
  std::string operator()(const Saw& e) const {
    const Observation& o = model.observations[e.observation];
    return o.name + ": " + o.outcomes[e.outcome];
  }
  std::string operator()(const CouldNotTell& e) const {
    return model.observations[e.observation].name + ": could not be told";
  }
  std::string operator()(const PutAside& e) const { return name(e.step) + ": not now"; }
  std::string operator()(const Done& e) const {
    if (!e.other.empty()) return "done: " + e.other + gone;
    return e.repair ? "done: " + model.repairs[*e.repair].name : "something else was done, and it works";
  }
  std::string operator()(const WasRight& e) const { return model.repairs[e.repair].name + ": it was right already"; }
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
bool replaces(const Model& model, const std::vector<Entry>& entries, const Answer& answer, Learned& so_far) {
  for (std::size_t i = so_far.events.size(); i-- > 0;) {
    const auto* repair = std::get_if<FailedRepair>(&so_far.events[i]);
    const bool mended = repair != nullptr && std::holds_alternative<Done>(entries[so_far.entry[i]]);
    if (mended && may_change(model, repair->repair, answer.observation)) return true;
    const auto* before = std::get_if<Answer>(&so_far.events[i]);
    if (before == nullptr || before->observation != answer.observation) continue;
    so_far.events.erase(so_far.events.begin() + static_cast<std::ptrdiff_t>(i));
    so_far.entry.erase(so_far.entry.begin() + static_cast<std::ptrdiff_t>(i));
  }
  return std::none_of(model.symptoms.begin(), model.symptoms.end(), [&](const Symptom& s) {
    return s.observation == answer.observation && s.outcome == answer.outcome;
  });
}

// What was right already was so since it was last mended, or from the beginning: it weighs before all that was seen
// since then, so that a check which shows its fault disagrees with it, and is not explained by a second fault.
std::size_t place_of(const Model& model, const std::vector<Entry>& entries, const Learned& so_far, WasRight right) {
  const auto mends = [&](const Mend& m) {
    const std::vector<Mend>& all = model.repairs[right.repair].mends;
    return std::any_of(all.begin(), all.end(), [&](const Mend& other) { return other.mode == m.mode; });
  };
  std::size_t at = so_far.events.size();
  for (; at > 0; --at) {
    const auto* done = std::get_if<Done>(&entries[so_far.entry[at - 1]]);
    if (done == nullptr) continue;
    const std::vector<Mend>& mended = model.repairs[*done->repair].mends;
    if (std::any_of(mended.begin(), mended.end(), mends)) break;
  }
  return at;
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
    return std::any_of(mends.begin(), mends.end(),
                       [&](const Mend& m) { return m.mode == e.mode && beside_others(model, m.mode); });
  });
}

Learned events_of(const Model& model, const std::vector<Entry>& entries) {
  Learned out;
  const std::vector<bool> counts = counting(entries);
  std::optional<std::size_t> done;  // and not proved yet
  const auto add = [&](const Event& event, std::size_t entry, std::optional<std::size_t> before = std::nullopt) {
    const auto at = static_cast<std::ptrdiff_t>(before.value_or(out.events.size()));
    out.events.insert(out.events.begin() + at, event);
    out.entry.insert(out.entry.begin() + at, entry);
  };
  for (std::size_t i = 0; i < entries.size(); ++i) {
    if (!counts[i]) continue;
    if (const auto* saw = std::get_if<Saw>(&entries[i])) {
      const Answer answer{saw->observation, saw->outcome};
      if (replaces(model, entries, answer, out)) add(answer, i);
    }
    if (const auto* right = std::get_if<WasRight>(&entries[i]))
      add(FailedRepair{right->repair}, i, place_of(model, entries, out, *right));
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

std::string text_of(const Model& model, const Entry& entry, const std::vector<Entry>& before) {
  const auto* back = std::get_if<TookBack>(&entry);
  if (back == nullptr || back->entry >= before.size()) return text_of(model, entry);
  return "took back: " + text_of(model, before[back->entry]);
}

std::vector<std::string> texts_of(const Model& model, const std::vector<Entry>& entries) {
  std::vector<std::string> out;
  for (const std::size_t entry : events_of(model, entries).entry) {
    const auto* done = std::get_if<Done>(&entries[entry]);
    const bool repair = done != nullptr && done->repair;
    out.push_back(repair ? model.repairs[*done->repair].name + ": still wrong after it"
                         : text_of(model, entries[entry]));
  }
  return out;
}

}  // namespace ringout::find
