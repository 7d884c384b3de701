#include "points.hpp"

using namespace ringout;
using namespace points;

void program() {
  set(lift, 0.5);
  if (!until(pressed(lift_top), 0xFFFFFFFF)) step("in vain");
  dwell(0x80000000);
}
