#include <fmt/format.h>

#include <cmath>

#include "cli/tables.h"

namespace ringout::cli {
namespace {

// What has no way but on has no level either.
std::string level_words(double level, bool on_off) {
  return on_off ? "on" : fmt::format("at {:+.1f} %", level * 100.0);
}

struct EventWords {
  Colour colour;

  std::string operator()(const session::Opened& opened) const {
    return fmt::format("{}: controller {}, firmware {}\n", opened.where, opened.controller.identity_text(),
                       opened.controller.firmware.text());
  }
  std::string operator()(const session::ReadyStep& step) const { return ready_step_text(step, colour); }
  std::string operator()(const session::TableLoaded& loaded) const {
    return fmt::format("point table {:08X}: {} bytes written and read back in {:.2f} s\n", loaded.fingerprint,
                       loaded.bytes, loaded.took.in_seconds());
  }
  std::string operator()(const session::Notice& notice) const { return notice.text + "\n"; }
  std::string operator()(const session::BumpStarts& bump) const {
    return fmt::format("bump {:<6} {:+6.1f} % for {} ms\n", bump.port, bump.level_permille / 10.0, bump.duration_ms);
  }
  std::string operator()(const session::CarriedRead&) const { return {}; }
  std::string operator()(const session::BumpRecorded&) const { return {}; }
  std::string operator()(const session::HandRecorded& hand) const {
    return fmt::format("by hand {}: {}\n", hand.record.input, hand.record.done ? "recorded" : "could not be done");
  }
  std::string operator()(const session::PersonTold& told) const {
    return fmt::format("told of {}: {}\n", told.point, told.acts ? "it acts as drawn" : "it does not act as drawn");
  }
  std::string operator()(const session::PersonSaw& saw) const {
    std::string what = saw.answer.point.empty() ? saw.answer.saw : saw.answer.point;
    if (what == "something_else") what = "something else";
    if (saw.answer.direction != 0) what += saw.answer.direction > 0 ? " +" : " -";
    return fmt::format("seen on {}: {}\n", saw.port, what);
  }
  std::string operator()(const session::Jogging& jog) const {
    return jog.output + " " + level_words(jog.level, jog.on_off) + "\n";
  }
  std::string operator()(const session::ProgramAt& at) const {
    std::string text = fmt::format("{}, line {}", at.state, at.line);
    if (!at.step.empty()) text += ", step \"" + at.step + "\"";
    if (!at.waiting_for.empty()) text += ", waits for " + at.waiting_for;
    return text + "\n";
  }
  std::string operator()(const session::StoppedAll& stopped) const {
    return paint("outputs off", Tone::attention, colour) + ": " + stopped.why + "\n";
  }
};

}  // namespace

std::string ready_step_text(const session::ReadyStep& step, Colour colour) {
  const bool good = step.verdict == session::StepVerdict::good;
  const bool bad = step.verdict == session::StepVerdict::bad;
  const std::string sign = paint(good  ? "+"
                                 : bad ? "!"
                                       : "-",
                                 good  ? Tone::good
                                 : bad ? Tone::bad
                                       : Tone::faint,
                                 colour);
  std::string text = sign + " " + padded(step.title, 28) + padded(session::name_of(step.verdict), 10) +
                     wrapped(step.reading, 60, 40) + "\n";
  if (step.reading.empty()) text.replace(text.find_last_not_of(" \n") + 1, std::string::npos, "\n");
  if (good) return text;
  if (!step.limit.empty()) text += std::string(40, ' ') + "wanted: " + wrapped(step.limit, 52, 48) + "\n";
  if (!step.remedy.empty()) text += std::string(40, ' ') + "remedy: " + wrapped(step.remedy, 52, 48) + "\n";
  return text;
}

std::string jog_text(const robot::Output& output, const session::JogOptions& asked, const session::Jog& jog) {
  const bool on_off = output.kind == robot::PointKind::on_off;
  const auto paragraph = [](const std::string& text) { return wrapped(text, 98, 2) + "\n"; };
  std::string text = paragraph(fmt::format("{} was commanded {} for {:.2f} s; ended: {}", output.name,
                                           level_words(jog.level, on_off), jog.driven.in_seconds(), jog.ended_by));
  if (jog.at_most < asked.at_most) {
    text += paragraph(
        fmt::format("cut short: until {} is proved, its port is driven for at most {:.0f} ms and at most "
                    "{:.1f} %, which is safe whatever device of this robot is on it ({:.3g} s were asked for)",
                    output.name, jog.at_most.in_milliseconds(), jog.most_level * 100.0, asked.at_most.in_seconds()));
  }
  if (on_off && jog.proved && std::abs(jog.level) + 0.005 < jog.most_level) {
    text +=
        paragraph(fmt::format("it got {:.0f} % of the supply, as was asked for: what switches on or off may need all "
                              "that it may have ({:.0f} %)",
                              std::abs(jog.level) * 100.0, jog.most_level * 100.0));
  }
  if (jog.watched.empty() || (on_off && jog.changed.empty()))
    return text + paragraph("no sensor tells what it did: look at it");
  if (!jog.changed.empty()) return text + paragraph(fmt::format("moved: {} changed", fmt::join(jog.changed, ", ")));
  text += paragraph(fmt::format("nothing moved: {} stayed as {}", fmt::join(jog.watched, ", "),
                                jog.watched.size() == 1 ? "it was" : "they were"));
  if (!jog.proved) return text + paragraph("next: prove it ('prove'), load the table ('load'), and jog it again");
  const bool more = std::abs(jog.level) + 0.005 < jog.most_level;
  const std::string with_more = fmt::format("jog it with more than {:.0f} % (at most {:.0f} %), or ",
                                            std::abs(jog.level) * 100.0, jog.most_level * 100.0);
  return text + paragraph("next: " + (more ? with_more : "") + "look at its protection, its plug and what holds it");
}

std::string event_text(const session::Event& event, Colour colour) {
  return std::visit(EventWords{colour}, event);
}

}  // namespace ringout::cli
