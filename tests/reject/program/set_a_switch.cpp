// Must not compile: an input cannot be set.
// Says: no matching function for call to .set
#include "points.hpp"

void program() {
  set(lift_top, on);
}
