// Must not compile: a motor takes a fraction.
// Says: use of deleted function
#include "points.hpp"

void program() {
  set(lift, on);
}
