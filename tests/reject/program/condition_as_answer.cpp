// Must not compile: a condition is waited for; its value now is read(...).
// Says: could not convert
#include "points.hpp"

void program() {
  if (lift_encoder > 0.5) outputs_off();
}
