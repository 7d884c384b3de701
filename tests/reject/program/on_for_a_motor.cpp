// Must not compile: a motor takes a fraction.
// Says: a motor.s level is a fraction with a point
#include "points.hpp"

void program() {
  set(lift, on);
}
