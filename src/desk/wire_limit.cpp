#include "desk/wire_limit.h"

#include <algorithm>

#include "physics/ampacity.h"
#include "physics/wire_heat.h"

namespace ringout::desk {
namespace {

constexpr Temperature ordinary = celsius(70);

// The table of the nearest insulation class that is not above the wire's; the lowest where none is.
physics::AmpacityTable bundled_table(Temperature insulation) {
  if (insulation >= celsius(200)) return physics::AmpacityTable::bundled_200;
  if (insulation >= celsius(150)) return physics::AmpacityTable::bundled_150;
  return physics::AmpacityTable::bundled_105;
}

}  // namespace

WireLimit wire_limit(const robot::Wire& wire, Temperature ambient) {
  const bool bundled = wire.laying == robot::Laying::bundled;
  const std::string_view basis = bundled ? "wire.limit.bundled" : "wire.limit.free";
  if (wire.cross_section.si <= 0.0 || wire.length.si <= 0.0) return {.current = std::nullopt, .basis = basis};
  const Temperature insulation = wire.insulation.value_or(ordinary);
  const physics::AmpacityTable table = bundled ? bundled_table(insulation) : physics::AmpacityTable::free_air;
  const physics::AmpacityConditions conditions = physics::conditions_of(table);
  const auto current = physics::ampacity(table, wire.cross_section);
  if (!current || !conditions.conductor || !conditions.ambient) return {.current = std::nullopt, .basis = basis};
  const physics::RatedWire rated{
      .current = *current, .conductor = *conditions.conductor, .ambient = *conditions.ambient};
  return {.current = physics::current_for(rated, insulation, ambient), .basis = basis};
}

Temperature hottest_ambient(const robot::Robot& robot) {
  Temperature hottest = robot.ambient;
  for (const robot::LoadCase& c : robot.load_cases) hottest = std::max(hottest, c.ambient.value_or(robot.ambient));
  return hottest;
}

}  // namespace ringout::desk
