// Must not compile: on or off only.
// Says: this output knows on and off only
#include "points.hpp"

void program() {
  set(lamp, 0.5);
}
