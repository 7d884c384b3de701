// Must not compile: an output cannot be read.
// Says: no matching function for call to .read
#include "points.hpp"

void program() {
  read(lift);
}
