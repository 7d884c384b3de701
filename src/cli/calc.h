// One question of the desk check at a time, for a data sheet and no robot file: what is asked, how it is answered.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "cli/measure.h"
#include "units/quantity.h"

namespace ringout::cli {

enum class Need { required, optional };
enum class Range { not_negative, positive, any };

// One option of a subject: a quantity, or one word of several.
struct Asked {
  std::string name;  // "stall-torque": the option is --stall-torque
  Measure measure = Measure::number;
  std::string meaning;
  Need need = Need::required;
  std::string fallback = {};  // taken where it is not given; empty: none
  Range range = Range::not_negative;
  std::vector<std::string> words = {};  // not empty: one of these instead of a quantity
  bool free_text = false;               // read by the subject itself ("18 AWG")
};

// What is given, as plain numbers: once as written, then again for each draw within the tolerances.
class Given {
 public:
  std::map<std::string, double, std::less<>> values;      // SI
  std::map<std::string, std::string, std::less<>> texts;  // words

  [[nodiscard]] bool has(std::string_view name) const { return values.find(name) != values.end(); }
  [[nodiscard]] double of(std::string_view name) const;  // it must be there
  [[nodiscard]] std::string text(std::string_view name) const;
};

struct Figure {
  std::string id;  // stable
  std::string what;
  Measure measure = Measure::number;
  double value = 0.0;              // SI; not a number: there is none
  std::string formula;             // or the table it is from
  std::optional<double> low = {};  // with tolerances
  std::optional<double> high = {};
};

struct Answer {
  std::vector<Figure> figures;
  std::vector<std::string> findings = {};     // what to take notice of, worst first
  std::vector<std::string> assumptions = {};  // what was assumed
  std::vector<std::string> sources = {};
};

// One kind of row that a data sheet may have: of each part one option is needed.
struct Row {
  std::string name;                             // "a row with stall figures"
  std::vector<std::vector<std::string>> parts;  // names of options
};

struct Subject {
  std::string name;
  std::string description;
  std::vector<Asked> asked;
  std::vector<Row> rows;  // one of them is needed, where there are any; options of two are refused
  std::function<Result<Answer>(const Given&)> answer;
  std::string example;
};

[[nodiscard]] const std::vector<Subject>& calc_subjects();
[[nodiscard]] std::vector<Subject> motion_subjects();      // motor, lift, move
[[nodiscard]] std::vector<Subject> supply_subjects();      // wire, battery, charge
[[nodiscard]] Subject charge_subject();                    // one of them
[[nodiscard]] std::vector<Subject> protection_subjects();  // protection, heat
// The cross-section of "16 AWG" or "1.5 mm2", written behind --option; `awg` set where it is a gauge. Error:
// calc.quantity.
[[nodiscard]] Result<Area> conductor_of(const std::string& option, const std::string& text, std::optional<int>& awg);

struct GivenQuantity {
  std::string name;
  std::string written;
};
struct Calculation {
  const Subject* subject = nullptr;
  std::vector<GivenQuantity> given;  // in the subject's order, fallbacks included
  std::vector<std::string> toleranced;
  Answer answer;
};

// `written`: option name to text, empty texts left out. With tolerances each figure gets the range that it takes over
// all their corners (up to 8 of them; else without) and 2000 draws with this seed.
// Errors: bad_input calc.subject, calc.missing, calc.two-rows, calc.quantity, calc.word, calc.range, and what the
// subject itself says.
[[nodiscard]] Result<Calculation> calculate(const std::string& subject,
                                            const std::map<std::string, std::string>& written, std::uint64_t seed = 1);

// Whether all that the subject needs is among `named`; calc.missing names all that is not. calc.two-rows.
[[nodiscard]] Result<void> check_complete(const Subject& subject, const std::set<std::string>& named);

[[nodiscard]] std::string calculation_text(const Calculation& calculation);
[[nodiscard]] std::string json_calc(const Calculation& calculation);  // in json_calc.cpp

}  // namespace ringout::cli
