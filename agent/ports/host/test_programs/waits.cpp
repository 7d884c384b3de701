#include "points.hpp"

using namespace ringout;
using namespace points;

void program() {
  step("raise");
  set(lift, 0.5);
  dwell(20);
  if (until(lift_encoder > 1.0, 50)) set(lamp, on);
  if (!until(pressed(lift_top), 30)) step("in vain");
  outputs_off();
}
