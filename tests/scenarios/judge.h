// What a right finding is, point by point, from the robot as it really is. The judge alone knows the truth.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "bench.h"
#include "plant/as_built.h"
#include "prove/finding.h"

namespace ringout::scenarios {

// The rule:
//   output without feed, lead or winding   no current, found nowhere
//   jammed motor                           jammed, on its true port; its sensors untested
//   leads that touch                       shorted, on its true port; its sensors untested
//   slipping coupling                      slips, on its true port and with its true sign; the sensors behind it
//                                          untested, those on the motor's shaft as they are
//   any other output                       its true port and true sign; condition "answers" where it is as drawn
//   its size                               its true travel (on/off: current) over what the drawing lets expect, times
//                                          the true over the drawn scale of the encoder that tells it: below 0.36
//                                          "weak", above 2.8 "strong", within 0.72 and 1.4 "answers"; between them
//                                          either word (where its own sensor comes and goes, its size is not judged);
//                                          what rubs may be called "drags" wherever it may be called "weak"
//   another motor than drawn               "another motor" with its name among those alike; or by its size, "weak" or
//                                          "strong"
//   intermittent lead                      the same, and "intermittent"; "no current" if it was open throughout
//   sensor of motion                       its true port and true sign; silent, one channel dead, intermittent as it
//                                          is; "weak" or "strong" with its output, because bumps cannot tell the two
//                                          apart
//   switch, range sensor                   its true port; stuck or silent where it is open or dead
//   confidence                             at least 0.9, but for what is intermittent
// Its exceptions, each counted by name where nothing else would have let a finding through:
//   an output whose size lies in between   any confidence
//   another motor                          "answers", if its name is among those that would answer the same; "drags"
//                                          instead of "weak"
//   leads that touch                       unsure, if "shorted" and "jammed" are both named
//   an intermittent lead or sensor         "answers": an output's lead only if it was open for less than a fifth of
//                                          its bumps, or no working sensor measures it; or unsure, if "intermittent"
//                                          is named beside another condition
struct Mistake {
  std::string point;
  std::string expected;
  std::string got;
};

// What the rule's exceptions let through, by the exception's name: how often each was needed shows what it is worth.
using Allowances = std::map<std::string, int>;

[[nodiscard]] std::vector<Mistake> judge(const robot::Robot& drawn, const plant::AsBuilt& truth, const Bench& bench,
                                         const std::vector<prove::Finding>& findings, Allowances* allowances = nullptr);

}  // namespace ringout::scenarios
