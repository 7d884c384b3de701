// Must not compile: 50 would be full power, not half of it.
// Says: use of deleted function
#include "points.hpp"

void program() {
  set(lift, 50);
}
