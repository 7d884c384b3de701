#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cli/tables.h"

namespace ringout::cli {
namespace {

constexpr int bar_cells = 10;

// A level as a bar from its middle, in eighths of a letter to the right and whole letters to the left.
std::string bar(double fraction) {
  static const char* const eighths[] = {"", "▏", "▎", "▍", "▌", "▋", "▊", "▉"};
  const double cells = std::clamp(std::abs(fraction), 0.0, 1.0) * bar_cells;
  const int whole = static_cast<int>(cells);
  std::string filled;
  for (int i = 0; i < whole; ++i) filled += "█";
  if (fraction < 0.0)
    return std::string(static_cast<std::size_t>(bar_cells - whole), ' ') + filled + "|" + std::string(bar_cells, ' ');
  const int rest = static_cast<int>((cells - whole) * 8.0);
  return std::string(bar_cells, ' ') + "|" + padded(filled + eighths[rest], bar_cells);
}

std::string value(const std::optional<double>& v, const std::string& unit) {
  if (!v) return "";
  if (unit.empty()) return *v > 0.5 ? "on" : "off";
  return fmt::format("{:.3f}", std::abs(*v) < 0.0005 ? 0.0 : *v);
}

// Zero without a sign: a reversed output at rest is commanded "-0".
double percent(double fraction) {
  return std::abs(fraction) < 0.0005 ? 0.0 : fraction * 100.0;
}

// What has no way but on has no level either.
std::string level(const session::MeterReading& r) {
  const double shown = percent(*r.commanded);
  if (!r.on_off) return fmt::format("{:.1f} %", shown);
  return shown == 0.0 ? "off" : "on";
}

// A measured value far from the expected one, where there is one.
bool is_off(const session::MeterReading& r) {
  if (!r.expected || !r.measured || !r.commanded || *r.commanded == 0.0) return false;
  return std::abs(*r.measured - *r.expected) > 0.5 * std::max(std::abs(*r.expected), 1e-3);
}

}  // namespace

std::string meters_table(const session::Meters& meters, Colour colour) {
  std::string text = fmt::format("supply {:.2f} V   program {}\n", meters.supply.in(volts(1)),
                                 meters.waiting_line.empty() ? "not running" : meters.waiting_line);
  text += paint(fmt::format("  {:<20}{:>10} {:^21} {:>12} {:>12}  {}", "point", "commanded", "", "expected", "measured",
                            "unit"),
                Tone::strong, colour) +
          "\n";
  for (const auto& r : meters.points) {
    const bool off = is_off(r);
    const std::string commanded = r.commanded ? level(r) : "";
    const std::string measured = fmt::format("{:>12}", value(r.measured, r.unit));
    std::string line =
        fmt::format("{} {:<20}{:>10} {} {:>12} {}  {}", paint(off ? "!" : " ", Tone::bad, colour), r.point, commanded,
                    r.commanded && !r.on_off ? bar(*r.commanded) : std::string(21, ' '), value(r.expected, r.unit),
                    paint(measured, off ? Tone::bad : Tone::plain, colour), r.unit);
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + "\n";
  }
  return text;
}

std::string meters_line(const session::Meters& meters, double seconds) {
  std::string text = fmt::format("{:.2f} s  {:.2f} V", seconds, meters.supply.in(volts(1)));
  if (!meters.waiting_line.empty()) text += "  " + meters.waiting_line;
  for (const auto& r : meters.points) {
    text += "  " + r.point;
    if (r.commanded) text += " " + level(r);
    if (r.measured) text += " " + value(r.measured, r.unit) + (r.unit.empty() ? "" : " " + r.unit);
    if (r.expected && r.measured) text += " (expected " + value(r.expected, r.unit) + ")";
    if (r.expected && !r.measured) text += " (expected " + value(r.expected, r.unit) + " " + r.unit + ")";
  }
  return text + "\n";
}

}  // namespace ringout::cli
