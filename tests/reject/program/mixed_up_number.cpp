// Must not compile: a point is not a number.
// Says: no matching function for call to .set
#include "points.hpp"

void program() {
  set(0, 0.5);
}
