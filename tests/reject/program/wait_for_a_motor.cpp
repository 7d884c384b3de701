// Must not compile: an output cannot be compared.
// Says: no match for .operator>
#include "points.hpp"

void program() {
  until(lift > 0.5, 100);
}
