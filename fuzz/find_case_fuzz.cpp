// Any bytes as a kept fault-finding case: they are read or explained. What reads still reads when it is cut off at any
// byte, with at most the entry lost that was being written, can be gone on with, and gives a view that can be shown.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>

#include "base/check.h"
#include "find/case_file.h"
#include "find/interview.h"

namespace {

using namespace ringout;

find::Model lamp() {
  find::Model m;
  m.name = "lamp";
  m.faults = find::Faults::independent;
  m.parts = {{"bulb", {}}, {"fuse", {}}};
  m.modes = {{"blown", 0, 0.1, {}}, {"blown", 1, 0.05, {}}, {"loose", 1, 0.02, {}}};
  const auto check = [&](const char* name, std::vector<find::Effect> effects) {
    find::Observation o;
    o.name = name;
    o.outcomes = {"good", "bad"};
    o.cost = 1.0;
    o.healthy = {1.0, 0.0};
    o.effects = std::move(effects);
    m.observations.push_back(o);
  };
  check("switch it on", {{0, {0.0, 1.0}}, {1, {0.0, 1.0}}, {2, {0.5, 0.5}}});
  check("look at the fuse", {{1, {0.0, 1.0}}});
  const auto repair = [&](const char* name, std::vector<find::Mend> mends) {
    find::Repair r;
    r.name = name;
    r.cost = 4.0;
    r.mends = std::move(mends);
    m.repairs.push_back(r);
  };
  repair("new bulb", {{0, 1.0}});
  repair("new fuse", {{1, 1.0}, {2, 0.9}});
  m.call_cost = 60.0;
  m.symptoms = {{0, 1}};
  return m;
}

std::optional<find::KeptCase> read(const std::string& bytes) {
  const SourceText text("fuzzed.case", bytes);
  Diagnostics found;
  auto kept = find::read_case(text, found);
  RINGOUT_CHECK(kept.has_value() != found.has_errors());
  for (const Diagnostic& d : found.all()) RINGOUT_CHECK(!render(d, &text).empty());
  if (kept) RINGOUT_CHECK(kept->whole + bytes.substr(bytes.size() - kept->cut_off) == bytes);
  return kept;
}

void cut_off(const std::string& bytes, const find::KeptCase& kept) {
  const std::size_t step = 1 + bytes.size() / 256;
  for (std::size_t at = 0; at < bytes.size(); at += step) {
    const auto cut = read(bytes.substr(0, at));
    RINGOUT_CHECK(cut.has_value());
    const auto ended =
        static_cast<int>(std::count(bytes.begin(), bytes.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
    const auto written = static_cast<std::size_t>(std::count_if(
        kept.lines.begin(), kept.lines.end(), [&](const find::KeptCase::Line& l) { return l.number <= ended; }));
    RINGOUT_CHECK(cut->lines.size() == written);
    for (std::size_t i = 0; i < written; ++i) RINGOUT_CHECK(cut->lines[i].fields == kept.lines[i].fields);
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
  static const find::Model model = lamp();
  const std::string text(reinterpret_cast<const char*>(bytes), size);
  const auto kept = read(text);
  if (!kept) return 0;
  cut_off(text, *kept);
  if (kept->head.about.empty()) return 0;  // nothing stood in it
  const std::vector<find::Entry> entries = find::entries_of(*kept, model);
  RINGOUT_CHECK(entries.size() == kept->lines.size());
  // Written anew it is the same case, and one entry more can be added.
  std::string anew = find::head_text(kept->head);
  for (const find::Entry& e : entries) anew += find::line_text(model, e);
  const auto again = read(anew + find::line_text(model, find::Called{}));
  RINGOUT_CHECK(again.has_value() && again->lines.size() == entries.size() + 1);
  const std::vector<find::Entry> same = find::entries_of(*again, model);
  for (std::size_t i = 0; i < entries.size(); ++i)
    RINGOUT_CHECK(find::line_text(model, same[i]) == find::line_text(model, entries[i]));
  if (entries.size() > 24) return 0;  // a view of many entries takes its time
  find::Interview interview(model);
  for (const find::Entry& e : entries) interview.add(e);
  const find::View view = interview.view();
  for (const find::Suspect& s : view.suspects) RINGOUT_CHECK(std::isfinite(s.chance) && s.chance <= 1.0 + 1e-9);
  RINGOUT_CHECK(std::isfinite(view.left_out) && std::isfinite(view.spent));
  return 0;
}
