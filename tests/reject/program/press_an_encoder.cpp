// Must not compile: only a switch is pressed.
// Says: could not convert|cannot convert|conversion from
#include "points.hpp"

void program() {
  until(pressed(lift_encoder), 100);
}
