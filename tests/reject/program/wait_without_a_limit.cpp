// Must not compile: every wait has a time limit.
// Says: no matching function for call to .until
#include "points.hpp"

void program() {
  until(pressed(lift_top));
}
