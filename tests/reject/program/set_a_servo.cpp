// Must not compile: the controller cannot drive this kind.
// Says: no matching function for call to .set
#include "points.hpp"

void program() {
  set(flap, 0.5);
}
