#include "cli/cold_text.h"

#include <fmt/format.h>

#include "bind/drawing.h"

namespace ringout::cli {
namespace {

using cold::Judgement;
using cold::Step;
using cold::StepKind;

constexpr std::size_t columns = 78;

const char* heading_of(StepKind kind) {
  switch (kind) {
    case StepKind::meter_leads:
      return "The meter";
    case StepKind::rail_short:
    case StepKind::frame_short:
      return "Rails: no short";
    case StepKind::feed:
    case StepKind::feed_crossed:
      return "Supply, from the battery outwards";
    case StepKind::output_loop:
      return "Devices through their leads, at the controller";
    case StepKind::output_conductor:
    case StepKind::sensor_conductor:
      return "Leads end to end";
    case StepKind::switch_rest:
    case StepKind::switch_worked:
      return "Switches";
    case StepKind::sensor_supply:
      return "Sensors' supplies: no short";
    case StepKind::first_power:
      return "First power";
  }
  return "";
}

std::string touches(const Step& step) {
  return step.red.empty() ? "" : step.red + "  to  " + step.black;
}

// The place that has to be open, and what is read there.
template <class Visit>
void by_heading(const std::vector<Step>& steps, const Visit& visit) {
  std::string before;
  for (const Step& step : steps) {
    std::string heading = heading_of(step.kind);
    if (!step.place.empty()) heading += " (" + step.place + ")";
    visit(before == heading ? std::string() : heading, step);
    before = heading;
  }
}

std::string html(std::string_view text) {
  return bind::escape_xml(text);
}

std::string html_rows(const std::vector<Step>& steps) {
  std::string text;
  by_heading(steps, [&](const std::string& heading, const Step& step) {
    if (!heading.empty()) text += fmt::format("<tr class=\"group\"><th colspan=\"5\">{}</th></tr>\n", html(heading));
    std::string what = html(touches(step));
    if (!step.prepare.empty())
      what += (what.empty() ? "" : "<br>") + fmt::format("<small>{}</small>", html(step.prepare));
    if (!step.from.empty()) what += fmt::format("<br><small>limits from: {}</small>", html(step.from));
    std::string boxes;
    for (int i = 0; i < step.readings; ++i) boxes += "<span class=\"box\"></span>";
    text += fmt::format("<tr><td><code>{}</code></td><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>\n",
                        html(step.id), what, html(cold::expected_text(step)), html(step.range), boxes);
  });
  return text;
}

std::string html_list(const std::vector<std::string>& lines) {
  std::string text = "<ul>\n";
  for (const auto& line : lines) text += fmt::format("<li>{}</li>\n", html(line));
  return text + "</ul>\n";
}

std::string csv_field(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) out += c == '"' ? std::string("\"\"") : std::string(1, c);
  return out + "\"";
}

}  // namespace

std::string cold_step_text(const Step& step, Colour colour) {
  std::string text = "  " + paint(step.id, Tone::strong, colour) + "\n";
  if (!step.prepare.empty()) text += "      " + wrapped(step.prepare, columns - 6, 6) + "\n";
  if (!step.red.empty()) {
    text += "      red:   " + wrapped(step.red, columns - 13, 13) +
            "\n      black: " + wrapped(step.black, columns - 13, 13) + "\n";
  }
  text += fmt::format(
      "      expected {}{}; range {}\n", cold::expected_text(step),
      step.readings > 1 ? fmt::format(" (lower quartile of {} readings)", step.readings) : std::string(), step.range);
  if (!step.from.empty()) text += "      " + wrapped("limits from: " + step.from, columns - 6, 6) + "\n";
  return text;
}

std::string cold_sheet_text(const std::string& robot, const cold::Sheet& sheet, Colour colour) {
  std::string text = paint("cold check of " + robot, Tone::strong, colour) + "\n";
  for (const auto& caution : sheet.cautions) text += "! " + wrapped(caution, columns - 2, 2) + "\n";
  const auto add = [&](const std::string& heading, const Step& step) {
    if (!heading.empty()) text += "\n" + paint(heading, Tone::strong, colour) + "\n";
    text += cold_step_text(step, colour);
  };
  by_heading(sheet.steps, add);
  text += "\n";
  for (const auto& caution : sheet.power_cautions) text += "! " + wrapped(caution, columns - 2, 2) + "\n";
  by_heading(sheet.power, add);
  text += "\n";
  for (const auto& assumption : sheet.assumptions) text += wrapped("assumed: " + assumption, columns, 2) + "\n";
  return text;
}

std::string judgement_text(const Judgement& j, Colour colour) {
  const bool fault = cold::is_fault(j.verdict);
  const Tone tone = fault ? Tone::bad : j.verdict == cold::Verdict::good ? Tone::good : Tone::attention;
  const bool power = j.step->kind == StepKind::first_power;
  const std::string read = power ? cold::amperes_text(j.judged) : cold::ohms_text(j.judged);
  std::string text = "  " + padded(paint(cold::name_of(j.verdict), tone, colour), 11) + padded(j.step->id, 24) +
                     fmt::format("{}, expected {}\n", read, cold::expected_text(*j.step));
  if (!j.explanation.empty()) text += "             " + wrapped(j.explanation, columns - 13, 13) + "\n";
  return text;
}

std::string cold_result_text(const std::vector<Judgement>& judgements, Colour colour) {
  std::string text;
  std::size_t good = 0;
  std::size_t unread = 0;
  std::size_t faults = 0;
  std::size_t again = 0;
  for (const Judgement& j : judgements) {
    good += j.verdict == cold::Verdict::good ? 1 : 0;
    unread += j.verdict == cold::Verdict::not_read ? 1 : 0;
    again += j.verdict == cold::Verdict::more_readings ? 1 : 0;
    faults += cold::is_fault(j.verdict) ? 1 : 0;
    if (!j.explanation.empty()) text += judgement_text(j, colour);
  }
  text += fmt::format("{} of {} steps good, {} wrong, {} to read again, {} not read yet\n", good, judgements.size(),
                      faults, again, unread);
  if (faults > 0) {
    text +=
        paint("not ready for power", Tone::bad, colour) + ": put right what is wrong, then read those steps again\n";
  } else if (unread + again == 0) {
    text += paint("all good", Tone::good, colour) + "\n";
  }
  return text;
}

std::string cold_page(const std::string& robot, const cold::Sheet& sheet) {
  static constexpr const char* style =
      "body{font:10pt 'DejaVu Sans',Arial,sans-serif;margin:12mm;color:#000}h1{font-size:15pt}h2{font-size:12pt}"
      "table{border-collapse:collapse;width:100%}td,th{border:.3mm solid #888;padding:1.2mm 2mm;text-align:left;"
      "vertical-align:top}tr{break-inside:avoid}tr.group th{background:#e4e4e4}code{font-size:9pt}small{color:#333}"
      ".box{display:inline-block;width:13mm;height:6mm;border:.3mm solid #000;margin:.5mm}"
      ".line{display:inline-block;border-bottom:.3mm solid #000;width:55mm}";
  const std::string head =
      "<tr><th>step</th><th>red lead to black lead</th><th>expected</th><th>range</th><th>reading</th></tr>\n";
  return fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head><meta charset=\"utf-8\"><title>Cold check of {0}</title>\n"
      "<style>{1}</style></head>\n<body>\n<h1>Cold check of {0}</h1>\n"
      "<p>Date <span class=\"line\"></span> &nbsp; Name <span class=\"line\"></span></p>\n<h2>Cautions</h2>\n{2}"
      "<table>\n{3}{4}</table>\n<h2>First "
      "power</h2>\n{5}<table>\n{3}{6}</table>\n<h2>Assumed</h2>\n{7}</body>\n</html>\n",
      html(robot), style, html_list(sheet.cautions), head, html_rows(sheet.steps), html_list(sheet.power_cautions),
      html_rows(sheet.power), html_list(sheet.assumptions));
}

std::string cold_table(const cold::Sheet& sheet) {
  std::string text = "id,prepare,red,black,expected,range,readings\n";
  for (const auto* steps : {&sheet.steps, &sheet.power}) {
    for (const Step& step : *steps) {
      text += fmt::format("{},{},{},{},{},{},\n", step.id, csv_field(step.prepare), csv_field(step.red),
                          csv_field(step.black), csv_field(cold::expected_text(step)), csv_field(step.range));
    }
  }
  return text;
}

}  // namespace ringout::cli
