// The program of the test firmware: moves until a switch acts, then loops for good without any call; where no switch
// acts it ends in good order after its time limit.
#include "points.hpp"

using namespace ringout;
using namespace points;

void program() {
  step("move");
  set(lamp, on);
  set(mover, 0.5);
  if (until(pressed(pressed_in), 300)) {
    step("hang");
    volatile bool forever = true;
    while (forever) {
    }
  }
  step("rest");
  outputs_off();
  dwell(50);
}
