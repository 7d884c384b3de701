// Must not compile: worked out once, it would never come true.
// Says: use of deleted function
#include "points.hpp"

void program() {
  until(read(lift_encoder) > 3.0F, 100);
}
