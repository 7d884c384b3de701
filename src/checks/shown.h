// What readings mean in the words of the fault model: the least that must hold, so that a check says what it saw and no
// more. Pure; the readings come from a session (bench_checks.h), a capture or a test.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "capture/sample.h"
#include "find/robot/kinds.h"
#include "prove/identify.h"
#include "robot/robot.h"

namespace ringout::checks {

// With what was read, in words for the person. Nothing: the readings cannot tell.
struct Reading {
  std::optional<faults::Shown> shown;
  std::string words;
  std::string where = {};  // Shown::elsewhere: the point that answers; empty: none that is drawn
};

// Bumps of the output's drawn port, and of nothing else.
[[nodiscard]] Reading read_bump(const robot::Robot& robot, const robot::Output& output,
                                const std::vector<capture::BumpRecord>& bumps);
// The same bumps, seen by an input that watches the output.
[[nodiscard]] Reading read_response(const robot::Robot& robot, const robot::Input& input,
                                    const std::vector<capture::BumpRecord>& bumps);
[[nodiscard]] Reading read_sag(const robot::Robot& robot, const std::vector<capture::BumpRecord>& bumps);
[[nodiscard]] Reading read_looks(const robot::Output& output, const std::vector<prove::Look>& looks);
[[nodiscard]] Reading read_hand(const robot::Robot& robot, const robot::Input& input,
                                const capture::HandRecord& record);
[[nodiscard]] Reading read_at_rest(const robot::Robot& robot, const robot::Input& input,
                                   const std::vector<capture::Sample>& samples);
// What an earlier proving found of a point; `known` are the findings that still hold.
[[nodiscard]] Reading read_record(const std::vector<prove::Finding>& known, const std::string& point);

// The nearest of the outcomes that a check has, or nothing where none of them says it.
[[nodiscard]] std::optional<std::size_t> nearest_outcome(faults::Shown shown,
                                                         const std::vector<faults::Shown>& outcomes);

}  // namespace ringout::checks
