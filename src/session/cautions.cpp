#include "session/cautions.h"

namespace ringout::session {
namespace {

bool can_fall(const robot::Output& output) {
  return output.mechanism && output.mechanism->lifted > kilograms(0) && !output.mechanism->self_locking;
}

}  // namespace

std::vector<std::string> cautions(const robot::Robot& robot) {
  std::vector<std::string> all = {
      "Wheels are off the floor, or the aisle is clear of people and things.",
      "Hands, hair and sleeves are away from everything that turns, lifts or closes; eye protection is on.",
      "The supply disconnect is within reach. Ringout's stop is a functional stop and not an emergency stop; the "
      "supply disconnect is what makes the robot safe to touch (see ISO 13850, ISO 14118, IEC 60204-1).",
      "Nobody works alone with a raised load. Stored pressure and springs are released before hands go in.",
      "A motor that has stalled may be hot. The battery is charged and stored as its maker says.",
      "Local rules, the venue's rules and licensed practice come first; no figure shown here replaces them.",
  };
  for (const robot::Output& output : robot.outputs) {
    if (can_fall(output)) {
      all.push_back("'" + output.name +
                    "' carries a load that can fall when the output is off: lower it or block it first.");
    } else if (output.mechanism && output.mechanism->lifted > kilograms(0)) {
      all.push_back("'" + output.name + "' carries a raised load: block it before hands go under it.");
    }
  }
  return all;
}

}  // namespace ringout::session
