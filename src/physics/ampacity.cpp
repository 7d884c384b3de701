#include "physics/ampacity.h"

#include <array>

#include "base/check.h"
#include "physics/wire.h"

namespace ringout::physics {
namespace {

// Amperes; 0: not in that table. Thickest first.
struct Row {
  int awg;
  std::array<double, 6> amps;  // in the order of AmpacityTable
};
constexpr std::array<Row, 12> rows = {{{8, {38, 57, 71, 75, 0, 0}},
                                       {10, {17, 26, 32, 55, 55, 15}},
                                       {12, {13, 19, 25, 40, 41, 9.3}},
                                       {14, {10, 14, 18, 31.2, 32, 5.9}},
                                       {16, {7, 11, 14, 0, 22, 3.7}},
                                       {18, {6, 9, 12, 15.4, 16, 2.3}},
                                       {20, {4, 7, 9, 8.33, 11, 1.5}},
                                       {22, {3, 5, 6, 5.0, 7, 0.92}},
                                       {24, {2.5, 4, 5, 0, 3.5, 0.577}},
                                       {26, {0, 0, 0, 0, 2.2, 0.361}},
                                       {28, {0, 0, 0, 0, 1.4, 0.226}},
                                       {30, {0, 0, 0, 0, 0.86, 0.142}}}};

constexpr const char* faa = "FAA AC 43.13-1B CHG 1 Table 11-9, p. 11-23; guidance only";
constexpr const char* military = "MIL-W-5088B free-air column as reprinted, 42L manual p. 67; guidance only";
constexpr const char* handbook = "Handbook of Electronic Tables and Formulas as reprinted; guidance only";

double amps_in(const Row& row, AmpacityTable table) {
  return row.amps[static_cast<std::size_t>(table)];
}

}  // namespace

AmpacityConditions conditions_of(AmpacityTable table) {
  switch (table) {
    case AmpacityTable::bundled_105:
      return {"bundled, 105 °C wire", {faa, Mark::read}, celsius(105), celsius(70)};
    case AmpacityTable::bundled_150:
      return {"bundled, 150 °C wire", {faa, Mark::read}, celsius(150), celsius(70)};
    case AmpacityTable::bundled_200:
      return {"bundled, 200 °C wire", {faa, Mark::read}, celsius(200), celsius(70)};
    case AmpacityTable::free_air:
      return {"single in free air", {military, Mark::read}, celsius(105), celsius(50)};
    case AmpacityTable::chassis:
      return {"chassis wiring", {handbook, Mark::read}, std::nullopt, std::nullopt};
    case AmpacityTable::transmission:
      return {"power transmission, 700 circular mil per ampere", {handbook, Mark::read}, std::nullopt, std::nullopt};
  }
  return {};
}

std::optional<Current> ampacity(AmpacityTable table, int awg) {
  for (const Row& row : rows) {
    if (row.awg == awg && amps_in(row, table) > 0.0) return amperes(amps_in(row, table));
  }
  return std::nullopt;
}

std::optional<Current> ampacity(AmpacityTable table, Area conductor) {
  RINGOUT_CHECK(conductor.si > 0.0);
  for (const Row& row : rows) {
    if (amps_in(row, table) > 0.0 && awg_area(row.awg).si <= conductor.si * 1.002) return amperes(amps_in(row, table));
  }
  return std::nullopt;
}

}  // namespace ringout::physics
