// For tests: a person who answers a case from a script, and a case that nobody keeps.
#pragma once

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <deque>
#include <string>
#include <utility>
#include <vector>

#include "find/case_file.h"
#include "find/interview_run.h"

namespace ringout::find::testing {

// A person who has her answers ready: the first word is the question's beginning, the second her answer.
struct Script {
  std::deque<std::pair<std::string, std::string>> lines;
  std::vector<std::string> asked = {};
  std::string kept = {};
  std::vector<Entry> entries = {};

  Result<Ended> run(Interview& interview) {
    Around around;
    around.ask = [&](const Ask& ask) -> Result<std::string> {
      asked.push_back(ask.id);
      if (lines.empty()) return std::string(says::quit);
      REQUIRE_MESSAGE(ask.id.starts_with(lines.front().first), ask.id);
      const std::string said = lines.front().second;
      lines.pop_front();
      const auto is_it = [&](const find::Choice& c) { return c.id == said; };
      REQUIRE_MESSAGE(std::any_of(ask.choices.begin(), ask.choices.end(), is_it), said);
      return said;
    };
    around.keep = [&](const Entry& entry) -> Result<void> {
      kept += line_text(interview.model(), entry);
      return {};
    };
    around.show = [](const View& view, Around::Next) {
      double sum = 0;
      for (const Reading& r : view.readings) sum += r.chance;
      CHECK((view.readings.empty() || std::abs(sum - 1.0) < 1e-9));
      for (const Suspect& s : view.suspects) CHECK(std::isfinite(s.chance));
    };
    return hold(interview, around);
  }
};

// A case that nobody keeps or looks at.
inline Around unkept() {
  Around around;
  around.keep = [](const Entry&) -> Result<void> { return {}; };
  around.show = [](const View&, Around::Next) {};
  return around;
}

}  // namespace ringout::find::testing
