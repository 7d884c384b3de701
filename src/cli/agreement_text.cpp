#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "cli/tables.h"

namespace ringout::cli {
namespace {

struct Sign {
  const char* mark;
  Tone tone;
};

// A sign for each verdict, so that neither colour nor the word stands alone.
Sign sign_of(prove::Verdict verdict) {
  switch (verdict) {
    case prove::Verdict::proved:
      return {"+", Tone::good};
    case prove::Verdict::disagrees:
      return {"!", Tone::bad};
    case prove::Verdict::silent:
      return {"o", Tone::bad};
    case prove::Verdict::untested:
      return {"-", Tone::faint};
    case prove::Verdict::stale:
      return {"~", Tone::attention};
  }
  return {" ", Tone::plain};
}

constexpr std::size_t table_width = 100;
constexpr std::size_t least_column = 5;

struct Widths {
  std::size_t point = least_column;
  std::size_t drawn = least_column;
  std::size_t coded = least_column;
  std::size_t found = least_column;
};

std::string cut(const std::string& text, std::size_t columns) {
  if (columns_of(text) <= columns) return text;
  std::string kept;
  for (std::size_t i = 0; i < text.size();) {
    std::size_t end = i + 1;
    while (end < text.size() && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) ++end;
    if (columns_of(kept) + 1 >= columns) break;
    kept += text.substr(i, end - i);
    i = end;
  }
  return kept + "…";
}

std::string settled_by(const prove::AgreementRow& row) {
  if (!row.settled_by) return "";
  std::string text = robot::name_of(*row.settled_by);
  if (!row.person.empty()) text += ", " + row.person;
  return text;
}

Widths widths_for(const prove::Agreement& agreement) {
  Widths w;
  std::size_t settled = 10;
  for (const auto& row : agreement.rows) {
    w.point = std::max(w.point, columns_of(row.point));
    w.drawn = std::max(w.drawn, columns_of(row.drawn));
    w.coded = std::max(w.coded, columns_of(row.coded));
    w.found = std::max(w.found, columns_of(row.found));
    settled = std::max(settled, columns_of(settled_by(row)));
  }
  w.point = std::min<std::size_t>(w.point, 26);
  settled = std::min<std::size_t>(settled, 22);
  // Two for the sign, eleven for the verdict, two between columns.
  const std::size_t fixed = 2 + w.point + 2 + 2 + 2 + 2 + 11 + 2 + settled;
  const std::size_t left = table_width - fixed;
  while (w.drawn + w.coded + w.found > left)
    --*std::max({&w.drawn, &w.coded, &w.found}, [](auto* a, auto* b) { return *a < *b; });
  return w;
}

std::string line(const Widths& w, const std::string& mark, const std::string& point, const std::string& drawn,
                 const std::string& coded, const std::string& found, const std::string& verdict,
                 const std::string& settled) {
  std::string text = mark + " " + padded(cut(point, w.point), w.point + 2) + padded(cut(drawn, w.drawn), w.drawn + 2) +
                     padded(cut(coded, w.coded), w.coded + 2) + padded(cut(found, w.found), w.found + 2) +
                     padded(verdict, 11) + cut(settled, 22);
  text.erase(text.find_last_not_of(' ') + 1);
  return text + "\n";
}

// What to do, once for all points of which the same is said.
std::string advice(const prove::Agreement& agreement) {
  std::string text;
  std::set<std::string> said;
  for (const auto& row : agreement.rows) {
    if (row.what_to_do.empty() || !said.insert(row.what_to_do).second) continue;
    std::string points;
    for (const auto& other : agreement.rows) {
      if (other.what_to_do == row.what_to_do) points += (points.empty() ? "" : ", ") + other.point;
    }
    text +=
        wrapped(fmt::format("{} {}: {}", sign_of(row.verdict).mark, points, row.what_to_do), table_width - 4, 4) + "\n";
  }
  return text;
}

const char* counted(prove::Verdict verdict, int count) {
  return verdict == prove::Verdict::disagrees && count != 1 ? "disagree" : name_of(verdict);
}

std::string summary(const prove::Agreement& agreement, bool whole) {
  std::map<prove::Verdict, int> counts;
  for (const auto& row : agreement.rows) ++counts[row.verdict];
  std::string text = fmt::format("{} of {} points proved", counts[prove::Verdict::proved], agreement.rows.size());
  for (const auto verdict :
       {prove::Verdict::disagrees, prove::Verdict::silent, prove::Verdict::stale, prove::Verdict::untested}) {
    if (counts[verdict] > 0) text += fmt::format(", {} {}", counts[verdict], counted(verdict, counts[verdict]));
  }
  if (!whole) return text + ": not ready, because the proving ended early\n";
  return text + (agreement.ready() ? ": ready\n" : ": not ready\n");
}

}  // namespace

std::string agreement_text(const prove::Agreement& agreement, Colour colour, bool whole) {
  const Widths w = widths_for(agreement);
  std::string text =
      paint(line(w, " ", "point", "drawn", "coded", "found", "verdict", "settled by"), Tone::strong, colour);
  for (const auto& row : agreement.rows) {
    const Sign sign = sign_of(row.verdict);
    text += line(w, paint(sign.mark, sign.tone, colour), row.point, row.drawn, row.coded, row.found,
                 paint(name_of(row.verdict), sign.tone, colour), settled_by(row));
  }
  const std::string to_do = advice(agreement);
  if (!to_do.empty()) text += "\n" + to_do;
  return text + "\n" + summary(agreement, whole);
}

std::string supply_text(const prove::SupplyFinding& supply) {
  if (supply.rest_volts <= 0.0) return "";
  std::string text = fmt::format("supply: {:.2f} V at rest", supply.rest_volts);
  if (supply.source_ohms > 0.0) {
    text += fmt::format(", source {:.0f} ± {:.0f} mΩ where {:.0f} mΩ are drawn", supply.source_ohms * 1e3,
                        supply.source_ohms_error * 1e3, supply.drawn_ohms * 1e3);
  }
  return text + (supply.weak ? "; weak: " + supply.evidence : "") + "\n";
}

}  // namespace ringout::cli
