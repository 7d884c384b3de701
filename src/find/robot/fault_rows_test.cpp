#include "find/robot/fault_rows.h"

#include <doctest/doctest.h>

#include "find/robot/testing.h"

using namespace ringout;
using namespace ringout::faults;

TEST_CASE("the rows that come with Ringout read") {
  const FaultRows rows = faults::testing::shipped_rows(RINGOUT_SOURCE_DIR);
  CHECK(rows.faults.size() > 60);
  for (const FaultRow& row : rows.faults) CHECK_FALSE(row.source.empty());
}
