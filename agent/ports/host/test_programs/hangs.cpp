#include "points.hpp"

using namespace ringout;
using namespace points;

void program() {
  set(lift, 1.0);
  volatile bool forever = true;
  while (forever) {
  }
}
