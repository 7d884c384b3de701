#include "prove/agreement.h"

#include <fmt/format.h>

#include <algorithm>

#include "prove/sensor_supply.h"
#include "prove/unclear.h"
#include "prove/wording.h"

namespace ringout::prove {

namespace {

using robot::Discipline;
using robot::Robot;

// A drawn point, output or input alike.
struct Drawn {
  std::string name;
  robot::PointKind kind;
  std::string port;
  bool reversed = false;
};

std::vector<Drawn> drawn_points(const Robot& robot) {
  std::vector<Drawn> all;
  for (const auto& o : robot.outputs) all.push_back({o.name, o.kind, o.port, o.reversed});
  for (const auto& i : robot.inputs) all.push_back({i.name, i.kind, i.port, i.reversed});
  return all;
}

std::string place(const std::string& port, bool reversed) {
  return reversed ? port + " reversed" : port;
}

std::string coded_port(const Robot& robot, const Drawn& d, const CodedEntry& entry) {
  const robot::PortKind kind = robot.port_of(d.port).kind;
  for (const robot::BoardPort& port : robot.board.ports) {
    if (port.kind == kind && port.index == entry.port) return port.name;
  }
  return fmt::format("port {}", entry.port);
}

const CodedPoint* coded_point(const std::optional<Coded>& coded, const std::string& name) {
  if (!coded) return nullptr;
  for (const CodedPoint& p : coded->points) {
    if (p.name == name) return &p;
  }
  return nullptr;
}

bool found_reversed(const Drawn& d, const Finding& f) {
  return f.sign == Sign::reversed ? !d.reversed : d.reversed;
}

bool no_answer(Condition c) {
  return c == Condition::no_current || c == Condition::silent || c == Condition::stuck;
}

std::string found_words(const Drawn& d, const Finding* f) {
  if (f == nullptr || f->condition == Condition::untested) return "not tested";
  if (no_answer(f->condition)) return "no answer";
  if (f->condition == Condition::something_else) return fmt::format("not drawn, on {}", d.port);
  std::string words = f->found_port ? place(*f->found_port, found_reversed(d, *f)) : "no answer";
  if (f->condition != Condition::answers) words += fmt::format(", {}", name_of(f->condition));
  if (f->condition == Condition::answers && f->sign == Sign::unknown) words += ", direction unknown";
  return words;
}

struct Settlement {
  Verdict verdict = Verdict::untested;
  std::optional<Discipline> by;
  std::string what_to_do;
};

// What the condition alone says, where the point did not simply answer.
std::optional<Settlement> settle_condition(const Robot& robot, const Drawn& d, const Finding& f) {
  const robot::Output* o = robot.output(d.name);
  switch (f.condition) {
    case Condition::no_current:
      return Settlement{Verdict::silent, Discipline::wiring,
                        fmt::format("follow the current from {} to {}: protection, port, lead, plug, winding",
                                    o != nullptr && !o->fed_by.empty() ? o->fed_by : "the supply", d.name)};
    case Condition::silent:
      return Settlement{Verdict::silent, Discipline::wiring,
                        fmt::format("check the plug, supply and lead of {} at {}", d.name, d.port)};
    case Condition::stuck:
      return Settlement{Verdict::silent, Discipline::wiring,
                        fmt::format("check contact and lead of {} at {}: it does not follow the hand", d.name, d.port)};
    case Condition::jammed:
      return Settlement{
          Verdict::disagrees, Discipline::mechanics,
          fmt::format("free {}: it takes current and does not turn; a motor that stood may be hot", d.name)};
    case Condition::drags:
      return Settlement{
          Verdict::disagrees, Discipline::mechanics,
          fmt::format(
              "{} drags: it moves {:.2f} times as far as drawn, with the current of a motor that is held back. "
              "Supply off, turn it by hand: look for a dry, bent or tight joint, bearing, belt or gear; where it "
              "turns easily, for another motor than drawn",
              d.name, f.strength)};
    case Condition::slips: {
      const bool lifts = o != nullptr && o->mechanism && o->mechanism->lifted.si > 0.0;
      return Settlement{
          Verdict::disagrees, Discipline::mechanics,
          fmt::format("the motor of {0} turns and does not take it along. Supply off{1}, hold the shaft and "
                      "turn {0} by hand: look at coupling, set screw, key, belt and gear",
                      d.name, lifts ? ", what it lifts held up from below" : "")};
    }
    case Condition::shorted:
      return Settlement{
          Verdict::disagrees, Discipline::wiring,
          fmt::format("a short at {}: do not drive it again. Supply off, unplug {} at the port and measure across the "
                      "leads, then across its terminals without them: near 0 ohm is where it is, lead or winding",
                      f.found_port.value_or(d.port), d.name)};
    case Condition::weak:
      return Settlement{
          Verdict::disagrees, Discipline::mechanics,
          fmt::format("{} moves {:.2f} times as far as drawn: look for friction, load, another motor, gear "
                      "or sensor than drawn",
                      d.name, f.strength)};
    case Condition::strong:
      return Settlement{
          Verdict::disagrees, Discipline::mechanics,
          fmt::format("{} moves {:.1f} times as far as drawn: look for another motor, gear or sensor than "
                      "drawn",
                      d.name, f.strength)};
    case Condition::other_motor:
      return Settlement{Verdict::disagrees, Discipline::mechanics,
                        fmt::format("{} starts with the current of another motor than drawn{}: read its type plate, "
                                    "then fit the drawn one or draw this one",
                                    d.name, f.alike.empty() ? std::string{} : " (like " + f.alike.front() + ")")};
    case Condition::intermittent:
      return Settlement{Verdict::disagrees, Discipline::wiring,
                        fmt::format("{} comes and goes: move its lead and plugs while it is watched", d.name)};
    case Condition::one_channel_dead:
      return Settlement{Verdict::disagrees, Discipline::wiring,
                        fmt::format("one channel of {} stands still: check both signal leads at {}", d.name, d.port)};
    case Condition::something_else:
      return Settlement{Verdict::disagrees, Discipline::wiring,
                        fmt::format("something that is not drawn hangs on {}: find out what, and draw it", d.port)};
    case Condition::answers:
    case Condition::untested:
      break;
  }
  return std::nullopt;
}

std::string move_words(const Drawn& d, const Finding& f) {
  return fmt::format("move the plug of {} from {} to {}", d.name, *f.found_port, d.port);
}

// How a point that answers the wrong way is turned round. A sensor with electronics does not bear exchanged supply
// leads.
std::string turn_words(const Robot& robot, const Drawn& d) {
  const robot::Input* in = robot.input(d.name);
  if (in == nullptr) return fmt::format("exchange the two leads of {}", d.name);
  if (in->kind == robot::PointKind::encoder) return fmt::format("exchange the two channels of {}", d.name);
  if (in->kind == robot::PointKind::switch_input) {
    return fmt::format("use the other contact of {}, or draw the switch that is there", d.name);
  }
  const auto* sensor = robot.device_of(in->device).as<robot::AnalogueDevice>();
  if (sensor != nullptr && sensor->measures_distance) {
    return fmt::format("turn {} round, or draw the sensor that is there", d.name);
  }
  return fmt::format(
      "where {0} is a bare potentiometer, exchange its two end leads (never its wiper's); else turn {0} round", d.name);
}

std::string wiring_words(const Robot& robot, const Drawn& d, const Finding& f) {
  const bool moved = *f.found_port != d.port;
  const bool is_switch = d.kind == robot::PointKind::switch_input;
  const bool turned = f.sign == Sign::reversed && (!is_switch || !moved);
  std::string words = moved ? move_words(d, f) : "";
  if (turned) words += (words.empty() ? "" : ", and ") + turn_words(robot, d);
  std::string write = moved ? fmt::format("port = \"{}\"", *f.found_port) : "";
  if (f.sign == Sign::reversed && !is_switch) {
    write += fmt::format("{}reversed = {}", write.empty() ? "" : " and ", found_reversed(d, f));
  }
  if (write.empty()) return words;
  return fmt::format("{}; or write {} for it in the robot file and load the table", words, write);
}

// Drawn against found, the program left aside.
Settlement settle_found(const Robot& robot, const Drawn& d, const Finding* f) {
  if (f == nullptr || f->condition == Condition::untested) {
    if (!robot::agent_works(d.kind)) {
      return {
          Verdict::untested,
          {},
          fmt::format("look whether {} acts as drawn, under the program or with a tester, and tell 'prove'", d.name)};
    }
    const bool to_be_seen = robot.output(d.name) != nullptr && !watched(robot, d.name);
    return {Verdict::untested,
            {},
            fmt::format("prove {}{}", d.name, to_be_seen ? ", and look what acts: no sensor sees it" : "")};
  }
  if (f->confidence < sure_enough) {
    return {Verdict::untested, {}, unclear_words(*f)};
  }
  if (auto s = settle_condition(robot, d, *f)) {
    if (f->found_port && (*f->found_port != d.port || f->sign == Sign::reversed)) {
      s->verdict = Verdict::disagrees;
      s->what_to_do += "; and " + wiring_words(robot, d, *f);
    }
    return *s;
  }
  if (!f->found_port)
    return {Verdict::silent, Discipline::wiring, fmt::format("find out where {} is plugged in", d.name)};
  if (*f->found_port != d.port || f->sign == Sign::reversed) {
    return {Verdict::disagrees, Discipline::wiring, wiring_words(robot, d, *f)};
  }
  if (f->sign == Sign::unknown) return {Verdict::untested, {}, fmt::format("look which way {} goes", d.name)};
  return {Verdict::proved, {}, ""};
}

// The program's account against the drawing; empty where they agree.
std::optional<Settlement> settle_coded(const Robot& robot, const Drawn& d, const std::optional<Coded>& coded) {
  if (!coded) return std::nullopt;
  const CodedPoint* p = coded_point(coded, d.name);
  if (p == nullptr) {
    return Settlement{
        Verdict::disagrees, Discipline::programming,
        fmt::format("the program does not know {}: bind, build and write it to the controller again", d.name)};
  }
  if (p->kind != d.kind) {
    return Settlement{Verdict::disagrees, Discipline::programming,
                      fmt::format("the program takes {} for {}: bind, build and write it to the controller again",
                                  d.name, name_of(p->kind))};
  }
  if (!p->entry) return Settlement{Verdict::disagrees, Discipline::programming, "load the point table"};
  if (coded_port(robot, d, *p->entry) != d.port || p->entry->reversed != d.reversed) {
    return Settlement{Verdict::disagrees, Discipline::programming, "load the point table of this robot file"};
  }
  return std::nullopt;
}

std::string coded_words(const Robot& robot, const Drawn& d, const std::optional<Coded>& coded) {
  if (!coded) return "not read";
  const CodedPoint* p = coded_point(coded, d.name);
  if (p == nullptr) return "not in the program";
  if (p->kind != d.kind) return fmt::format("{} in the program", name_of(p->kind));
  if (!p->entry) return "no table";
  return place(coded_port(robot, d, *p->entry), p->entry->reversed);
}

Settlement settle(const Robot& robot, const Drawn& d, const std::optional<Coded>& coded, const Finding* f, bool stale) {
  const std::optional<Settlement> by_program = settle_coded(robot, d, coded);
  if (stale) return {Verdict::stale, {}, fmt::format("prove {} again: its wiring was changed after its proof", d.name)};
  Settlement s = settle_found(robot, d, f);
  if (by_program) {
    // A wiring that disagrees too must be settled first: the table is made from the corrected robot file.
    if (s.verdict == Verdict::proved || s.verdict == Verdict::untested) return *by_program;
    s.what_to_do += "; then " + by_program->what_to_do;
    return s;
  }
  if (!coded && s.verdict == Verdict::proved)
    return {Verdict::untested, {}, "read the point table from the controller"};
  return s;
}

std::string person_of(const Robot& robot, std::optional<Discipline> by) {
  if (!by) return {};
  const auto owner = robot.owners.find(robot::name_of(*by));
  return owner == robot.owners.end() ? std::string{} : owner->second;
}

const Finding* finding_of(std::span<const Finding> findings, const std::string& point) {
  const Finding* last = nullptr;
  for (const Finding& f : findings) {
    if (f.point == point) last = &f;
  }
  return last;
}

}  // namespace

const char* name_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::proved:
      return "proved";
    case Verdict::disagrees:
      return "disagrees";
    case Verdict::silent:
      return "silent";
    case Verdict::untested:
      return "untested";
    case Verdict::stale:
      return "stale";
  }
  return "untested";
}

bool Agreement::ready() const {
  return !rows.empty() &&
         std::all_of(rows.begin(), rows.end(), [](const AgreementRow& r) { return r.verdict == Verdict::proved; });
}

Agreement agree(const Robot& robot, const std::optional<Coded>& coded, std::span<const Finding> findings,
                std::span<const std::string> touched) {
  Agreement agreement;
  const std::vector<Drawn> points = drawn_points(robot);
  const std::vector<std::string> unfed = without_supply(robot, findings);
  for (const Drawn& d : points) {
    const Finding* f = finding_of(findings, d.name);
    const bool stale = f != nullptr && std::find(touched.begin(), touched.end(), d.name) != touched.end();
    Settlement s = settle(robot, d, coded, f, stale);
    if (!stale && std::find(unfed.begin(), unfed.end(), d.name) != unfed.end()) {
      s.what_to_do = measure_supply_words(robot, unfed);
    }
    agreement.rows.push_back({.point = d.name,
                              .kind = d.kind,
                              .drawn = place(d.port, d.reversed),
                              .coded = coded_words(robot, d, coded),
                              .found = found_words(d, f),
                              .verdict = s.verdict,
                              .confidence = f != nullptr ? f->confidence : 0.0,
                              .settled_by = s.by,
                              .person = person_of(robot, s.by),
                              .what_to_do = s.what_to_do,
                              .evidence = f != nullptr ? f->evidence : ""});
  }
  if (!coded) return agreement;
  for (const CodedPoint& p : coded->points) {
    if (std::any_of(points.begin(), points.end(), [&p](const Drawn& d) { return d.name == p.name; })) continue;
    agreement.rows.push_back({.point = p.name,
                              .kind = p.kind,
                              .drawn = "not drawn",
                              .coded = robot::name_of(p.kind),
                              .found = "not tested",
                              .verdict = Verdict::disagrees,
                              .settled_by = Discipline::programming,
                              .person = person_of(robot, Discipline::programming),
                              .what_to_do =
                                  "the program was built against another robot file: bind, build and write it to "
                                  "the controller again",
                              .evidence = ""});
  }
  return agreement;
}

std::vector<Correction> corrected_wiring(const Robot& robot, std::span<const Finding> findings) {
  std::vector<Correction> all;
  for (const Drawn& d : drawn_points(robot)) {
    const Finding* f = finding_of(findings, d.name);
    if (f == nullptr || !f->found_port || f->confidence < sure_enough) continue;
    const auto add = [&](std::string key, std::string value, std::string instead) {
      std::string line = fmt::format("{} = {}", key, value);
      all.push_back({d.name, std::move(key), std::move(value), std::move(line), std::move(instead)});
    };
    if (*f->found_port != d.port) add("port", fmt::format("\"{}\"", *f->found_port), move_words(d, *f));
    if (f->sign == Sign::reversed && d.kind != robot::PointKind::switch_input) {
      add("reversed", found_reversed(d, *f) ? "true" : "false", turn_words(robot, d));
    }
  }
  return all;
}

}  // namespace ringout::prove
