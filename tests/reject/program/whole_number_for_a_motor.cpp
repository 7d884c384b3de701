// Must not compile: 50 would be full power, not half of it.
// Says: a motor.s level is a fraction with a point
#include "points.hpp"

void program() {
  set(lift, 50);
}
