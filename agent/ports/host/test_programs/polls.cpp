#include "points.hpp"

using namespace ringout;
using namespace points;

void program() {
  set(lift, 0.5);
  while (!read(lift_top)) {
  }
}
