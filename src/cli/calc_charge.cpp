// The question about a battery at rest: how full it is by its voltage.
#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "cli/calc.h"
#include "physics/battery.h"

namespace ringout::cli {
namespace {

using namespace physics;

constexpr Voltage last_digit = volts(0.01);  // of a common meter's 20 V range
constexpr int most_cells = 400;

std::vector<const ChargeTable*> tables_of(std::string_view chemistry) {
  std::vector<const ChargeTable*> all;
  for (const ChargeTable& table : charge_tables()) {
    if (table.chemistry == chemistry) all.push_back(&table);
  }
  return all;
}

std::vector<std::string> chemistries() {
  std::vector<std::string> all;
  for (const ChargeTable& table : charge_tables()) {
    if (std::find(all.begin(), all.end(), table.chemistry) == all.end()) all.emplace_back(table.chemistry);
  }
  return all;
}

std::string chemistry_list() {
  const std::vector<std::string> all = chemistries();
  std::string text;
  for (std::size_t n = 0; n < all.size(); ++n) {
    text += (n == 0 ? "" : n + 1 == all.size() ? " or " : ", ") + all[n];
  }
  return text;
}

// Lowest and highest voltage of all tables.
struct Ends {
  Voltage least;
  Voltage greatest;
};
Ends ends_of(const std::vector<const ChargeTable*>& tables, int cells) {
  Ends ends{.least = {std::numeric_limits<double>::infinity()}, .greatest = {}};
  for (const ChargeTable* table : tables) {
    ends.least = std::min(ends.least, table->per_cell.front().open_circuit * static_cast<double>(cells));
    ends.greatest = std::max(ends.greatest, table->per_cell.back().open_circuit * static_cast<double>(cells));
  }
  return ends;
}

// Which table says so; one that ends above empty can say no more below its end.
std::string said_by(const ChargeTable& table, const ChargeRange& charge) {
  std::string text = "by " + std::string(table.name);
  if (charge.least != charge.greatest) text += ", ending at " + shown(Measure::fraction, charge.greatest);
  return text;
}

void add_findings(const Ends& ends, int cells, Voltage rested, double least, double greatest, Answer& answer) {
  if (rested > ends.greatest) {
    answer.findings.push_back(
        fmt::format("above the {} of full: not rested since it was charged, or more than {} cells",
                    shown(Measure::voltage, ends.greatest.si), cells));
  }
  if (rested < ends.least) {
    answer.findings.push_back(fmt::format("below the {} of empty: deeply discharged, or fewer than {} cells",
                                          shown(Measure::voltage, ends.least.si), cells));
  }
  if (rested >= ends.least && greatest - least > 0.1) {
    answer.findings.push_back(
        fmt::format("the tables differ: {}; the table of the battery's own sheet is worth more than all of them",
                    shown_between(Measure::fraction, least, greatest)));
  }
}

Result<Answer> charge_answer(const Given& given) {
  const double cells_given = given.of("cells");
  const int cells = static_cast<int>(std::min<double>(cells_given, most_cells));
  if (cells != cells_given) {
    return failure(ErrorKind::bad_input, "calc.range",
                   fmt::format("--cells must be a whole number from 1 to {}", most_cells),
                   "6 in a 12 V lead-acid battery, 4 in a 12.8 V battery of lithium iron phosphate");
  }
  const Voltage rested{given.of("voltage")};
  const std::vector<const ChargeTable*> tables = tables_of(given.text("chemistry"));
  Answer answer;
  double least = 2.0, greatest = -1.0, per_digit = 0.0;
  std::string least_by, greatest_by;
  for (const ChargeTable* table : tables) {
    const ChargeRange charge = state_of_charge(*table, cells, rested);
    if (charge.least < least) least = charge.least, least_by = said_by(*table, charge);
    if (charge.greatest > greatest) greatest = charge.greatest, greatest_by = said_by(*table, charge);
    const ChargeRange below = state_of_charge(*table, cells, rested - last_digit * 0.5);
    const ChargeRange above = state_of_charge(*table, cells, rested + last_digit * 0.5);
    if (below.least == below.greatest) per_digit = std::max(per_digit, above.least - below.least);
    answer.sources.push_back(fmt::format("{}: {} ({})", table->name, table->source.text, name_of(table->source.mark)));
  }
  answer.figures.push_back({"least", "charge, at least", Measure::fraction, least, least_by});
  answer.figures.push_back({"greatest", "charge, at most", Measure::fraction, greatest, greatest_by});
  answer.figures.push_back(
      {"per_10_mv", "10 mV on the meter are", Measure::fraction, per_digit, "where the tables are flattest"});
  answer.figures.push_back({"per_cell", "voltage per cell", Measure::voltage, rested.si / cells, "U/n"});
  add_findings(ends_of(tables, cells), cells, rested, least, greatest, answer);
  answer.assumptions = {
      "at rest for hours, nothing connected: just after a load it looks emptier than it is, just after a charger "
      "fuller",
      "room temperature, healthy cells all alike: the tables state neither temperature nor age"};
  return answer;
}

}  // namespace

Subject charge_subject() {
  return {"charge",
          "A battery at rest: how full it is by its voltage",
          {{"voltage", Measure::voltage, "of the whole battery at rest", Need::required, "", Range::positive},
           {"chemistry", Measure::number, chemistry_list(), Need::required, "", Range::any, chemistries()},
           {"cells", Measure::number, "in series, as in 6 for a 12 V lead-acid battery", Need::required, "",
            Range::positive}},
          {},
          charge_answer,
          "ringout calc charge --voltage \"12.4 V +-0.05 V\" --chemistry lead-acid --cells 6"};
}

}  // namespace ringout::cli
