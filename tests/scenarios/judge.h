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
//   any other output                       its true port and true sign; condition "answers" where it is as drawn
//   its size                               its true travel (on/off: current) over what the drawing lets expect, times
//                                          the true over the drawn scale of the encoder that tells it: below 0.36
//                                          "weak", above 2.8 "strong", within 0.72 and 1.4 "answers"; between them
//                                          either word, at any confidence
//   intermittent lead                      the same, and "intermittent" (or, where it was open throughout, "no
//   current")
//                                          if the lead was open for a fifth of two bumps; a lead that opened less while
//                                          it was watched may be called by any of these
//   sensor of motion                       its true port and true sign; silent, one channel dead, intermittent as it
//   is;
//                                          "weak" or "strong" with its output, because bumps cannot tell the two apart
//   switch, range sensor                   its true port; stuck or silent where it is open or dead
//                                          (where its own lead comes and goes, its output's size is not judged)
//   confidence                             at least 0.9, except for what is intermittent, and for an output that no
//                                          working sensor measures and that the person did not see move either: there
//                                          the current alone decides
//   an intermittent lead whose output no working sensor measures may be called "answers"
struct Mistake {
  std::string point;
  std::string expected;
  std::string got;
};

[[nodiscard]] std::vector<Mistake> judge(const robot::Robot& drawn, const plant::AsBuilt& truth, const Bench& bench,
                                         const std::vector<prove::Finding>& findings,
                                         const std::vector<prove::Look>& looks);

}  // namespace ringout::scenarios
