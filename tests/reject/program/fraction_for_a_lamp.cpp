// Must not compile: on or off only.
// Says: use of deleted function
#include "points.hpp"

void program() {
  set(lamp, 0.5);
}
