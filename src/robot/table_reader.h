// Reads the keys of one table and keeps account: what stands where, what is missing, what nobody asked for. Every key
// that is asked for is known; finish() reports the others with the nearest known name.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/diagnostic.h"
#include "robot/document.h"
#include "robot/robot.h"
#include "robot/unit_text.h"

namespace ringout::robot {

enum class Need { optional, required };

// Inclusive bounds, in SI; a value outside is an error.
struct Bounds {
  double low = 0.0;
  double high = 1e12;
};
constexpr Bounds above_zero{1e-15, 1e12};
constexpr Bounds from_zero{0.0, 1e12};
constexpr Bounds up_to_one{0.0, 1.0};
constexpr Bounds any_sign{-1e12, 1e12};
constexpr Bounds ambient_range{233.15, 373.15};   // −40 °C to 100 °C
constexpr Bounds material_range{273.15, 573.15};  // 0 °C to 300 °C: what an insulation bears

class TableReader {
 public:
  // `what` names the table in messages, e.g. "output \"lift\"".
  TableReader(const SourceText& text, const Node& table, std::string what, Diagnostics& found);

  void rename(std::string what) { what_ = std::move(what); }
  [[nodiscard]] const std::string& what() const { return what_; }

  // Each leaves `into` alone and answers false where the key is absent or wrong; a wrong value and an absent required
  // key are reported. An empty text where one is required is reported and counts as absent. `example` is what the hint
  // tells to write.
  bool text(const char* key, Need need, const char* example, std::string& into);
  bool quantity(const char* key, Need need, Dimension dimension, Bounds bounds, double& into);
  bool number(const char* key, Need need, Bounds bounds, double& into);
  // For figures that have no tolerance, because somebody decided them or because they are limits already.
  bool exact_quantity(const char* key, Need need, Dimension dimension, Bounds bounds, double& into);
  bool exact_number(const char* key, Need need, Bounds bounds, double& into);
  bool integer(const char* key, Need need, std::int64_t low, std::int64_t high, std::int64_t& into);
  bool truth(const char* key, bool& into);
  // One of some words; gives its index.
  std::optional<std::size_t> choice(const char* key, Need need, const std::vector<std::string>& words);
  std::vector<std::string> texts(const char* key, Need need, const char* example);
  const Node* table(const char* key, Need need, const char* example);
  // [[key]] tables; empty where absent.
  std::vector<const Node*> tables(const char* key);

  // Where tolerances of this table's figures go, and how their paths begin ("output.lift"); a table inside another one
  // goes on with it. Without, a tolerance is an error.
  void tolerances_into(std::vector<Tolerance>& tolerances, std::string path);
  void tolerances_like(const TableReader& outer, const std::string& key);
  // A figure that was written as something else: the tolerance of `key` becomes one of `as`, `factor` times as wide.
  void carry_tolerance(const char* key, const char* as, double factor);

  const Node* find(const char* key);  // makes the key known
  void error(const char* key, std::string id, std::string message, std::string hint = {});
  // Reports keys that nobody asked for.
  void finish();

  [[nodiscard]] const Places& places() const { return places_; }
  [[nodiscard]] Span place(const char* key) const { return places_.of(key); }
  [[nodiscard]] const SourceText& source() const { return text_; }
  [[nodiscard]] Diagnostics& found() { return found_; }

 private:
  bool figure(const char* key, const Node& node, const QuantityReading& reading, Bounds bounds,
              const std::string& allowed, double& into);
  bool refuse_tolerance(const char* key, const Node* node);
  const Node* want(const char* key, Need need, const std::string& example);
  void wrong_kind(const char* key, const Node& node, const std::string& wanted, const std::string& example);

  const SourceText& text_;
  const Node& table_;
  std::string what_;
  Diagnostics& found_;
  Places places_;
  std::vector<std::string> known_;
  std::vector<Tolerance>* tolerances_ = nullptr;
  std::string path_;
};

// Adds all of `from`, with control characters of a person's text replaced, so that none reaches a terminal.
void pass_on(const Diagnostics& from, Diagnostics& to);

// A text for a message: control characters become "?", long ones are cut.
[[nodiscard]] std::string shown(const std::string& text);

}  // namespace ringout::robot
