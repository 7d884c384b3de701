#include "base/check.h"

#include <cstdio>
#include <cstdlib>

namespace ringout {

void check_failed(const char* expression, const char* file, int line) {
  std::fprintf(stderr, "ringout: internal error: '%s' does not hold (%s:%d). Please report this.\n", expression, file,
               line);
  std::abort();
}

}  // namespace ringout
