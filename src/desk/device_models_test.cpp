#include "desk/device_models.h"

#include <doctest/doctest.h>

#include <cmath>

namespace ringout::desk {
namespace {

// A lead-acid battery whose rows stand at this temperature: 25 mohm charged, 44 mohm at 20 %.
robot::BatteryDevice battery_with_rows_at(Temperature t) {
  robot::BatteryDevice battery;
  battery.internal = ohms(25e-3);
  battery.internal_at = {{.state_of_charge = 1.0, .at = t, .internal = ohms(25e-3)},
                         {.state_of_charge = 0.5, .at = t, .internal = ohms(31e-3)},
                         {.state_of_charge = 0.2, .at = t, .internal = ohms(44e-3)}};
  return battery;
}

}  // namespace

TEST_CASE("a battery's resistance goes with its charge at whatever temperature its sheet states") {
  for (const double celsius_of_rows : {20.0, 23.0, 25.0}) {
    CAPTURE(celsius_of_rows);
    robot::BatteryDevice battery = battery_with_rows_at(celsius(celsius_of_rows));
    CHECK(battery_model(battery).internal_at(0.2, celsius(20)).in(ohms(1e-3)) == doctest::Approx(44));
    CHECK(battery_model(battery).internal_at(1.0, celsius(25)).in(ohms(1e-3)) == doctest::Approx(25));
    // Colder: half as much again on the average of what is stated there, whichever stands first.
    battery.internal_at.push_back({.state_of_charge = 1.0, .at = celsius(0), .internal = ohms(35e-3)});
    battery.internal_at.push_back({.state_of_charge = 0.2, .at = celsius(0), .internal = ohms(70.4e-3)});
    CHECK(battery_model(battery).internal_at(0.5, celsius(-5)).in(ohms(1e-3)) == doctest::Approx(1.5 * 31));
    CHECK(battery_model(battery).internal_at(0.2, celsius(celsius_of_rows)).in(ohms(1e-3)) == doctest::Approx(44));
  }
}

TEST_CASE("a sheet's gaps are filled from its neighbours, and its rating is carried whatever it states for it") {
  robot::ProtectionDevice fuse;
  fuse.rating = amperes(8);
  fuse.limits = {{.multiple = 1.0, .earliest = seconds(3600), .latest = std::nullopt},
                 {.multiple = 1.35, .earliest = {}, .latest = seconds(3600)},
                 {.multiple = 2.0, .earliest = seconds(1), .latest = std::nullopt},
                 {.multiple = 3.0, .earliest = {}, .latest = seconds(5)}};
  const ProtectionModel model = protection_model(fuse, celsius(25));
  CHECK(model.basis == "trip.catalogue");
  REQUIRE(model.limits.size() == 4);
  CHECK(std::isinf(model.limits[0].earliest.si));
  CHECK(model.limits[1].earliest == seconds(1));
  CHECK(model.limits[2].latest == seconds(3600));
  CHECK(std::isinf(model.time_to_open(amperes(8)).earliest.si));
  CHECK(model.time_to_open(amperes(-12)).earliest == seconds(1));
  CHECK(model.time_to_open(amperes(12)).latest == seconds(3600));
  CHECK(model.time_to_open(amperes(30)).latest == seconds(5));
  // Half loaded it is heated, and holds.
  const physics::BoundingElements elements = physics::bounding_elements(model.limits);
  const physics::CurrentStep steady[] = {{amperes(4), seconds(10)}};
  CHECK(physics::settled_peak(elements, model.rating, steady).fast == doctest::Approx(0.25));
}

}  // namespace ringout::desk
