#include <stdlib.h>

#include "points.hpp"

void program() {
  abort();
}
