#include "robot/case_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "robot/resolve.h"

namespace ringout::robot {

namespace {

using Dim = Dimension;

const std::vector<std::string> loading_words{"off", "running", "stalled", "at speed"};

struct CaseReader {
  TableReader& file;
  Robot& robot;
  std::set<std::string> taken;  // names of load cases and duty cycles

  void name(TableReader& in, const char* what, const char* example, std::string& into);
  void loads(TableReader& in, std::vector<OutputLoad>& into);
  void load(TableReader& in, OutputLoad& into);
  void speed(TableReader& in, const Output& output, OutputLoad& into);
  void load_case(const Node& node);
  void duty_cycle(const Node& node);
};

void CaseReader::name(TableReader& in, const char* what, const char* example, std::string& into) {
  if (!in.text("name", Need::required, example, into)) return;
  in.rename(fmt::format("{} \"{}\"", what, shown(into)));
  if (const std::string fault = fault_of_name(into); !fault.empty()) {
    in.error("name", "robot.bad-name", fmt::format("\"{}\" cannot be a name: {}", shown(into), fault),
             fmt::format("use letters, digits and underscores, beginning with a letter, for example \"{}\"", example));
  } else if (!taken.insert(into).second) {
    in.error("name", "robot.name-taken", fmt::format("the name \"{}\" is used already", into),
             "load cases and duty cycles have names of their own");
  }
}

void CaseReader::speed(TableReader& in, const Output& output, OutputLoad& into) {
  const bool written = in.find("speed") != nullptr;
  if (into.loading != Loading::at_speed) {
    if (written) {
      in.error("speed", "robot.speed-not-asked",
               fmt::format("{} has a speed, but it is loaded \"{}\"", in.what(), name_of(into.loading)),
               "write loading = \"at speed\", or leave the speed out");
    }
    return;
  }
  const bool motor = output.kind == PointKind::bridge_motor && output.mechanism.has_value();
  if (!motor) return;  // told already
  read_speed(in, "speed", Need::required, *output.mechanism, {-1e6, 1e6}, into.speed);
}

void CaseReader::load(TableReader& in, OutputLoad& into) {
  const bool named = in.text("output", Need::required, "lift", into.output);
  const auto loading = in.choice("loading", Need::required, loading_words);
  if (loading) into.loading = static_cast<Loading>(*loading);
  in.exact_quantity("level", Need::optional, Dim::fraction, {-1.0, 1.0}, into.level);
  const Output* output = robot.output(into.output);
  if (output == nullptr || !loading) {
    in.find("speed");  // what it is hangs on the output
    if (output != nullptr || !named) return;
    std::vector<std::string> names;
    for (const Output& o : robot.outputs) names.push_back(o.name);
    const std::string near = nearest(into.output, names);
    in.error("output", "robot.unknown-output",
             fmt::format("{} loads \"{}\", but there is no such output", in.what(), shown(into.output)),
             near.empty() ? fmt::format("outputs are {}", fmt::join(names, ", "))
                          : fmt::format("did you mean \"{}\"?", near));
    return;
  }
  const bool kind_known = output->at.keys.count("kind") != 0;
  const bool steady = output->kind == PointKind::on_off || output->kind == PointKind::light;
  const bool needs_motor = into.loading == Loading::at_speed && output->kind == PointKind::servo;
  if (kind_known && ((steady && into.loading > Loading::running) || needs_motor)) {
    in.error("loading", "robot.load-without-motion",
             fmt::format("\"{}\" is of kind {}: it cannot be \"{}\"", into.output, name_of(output->kind),
                         name_of(into.loading)),
             "write loading = \"running\" where it is on, \"off\" where it is not");
  }
  speed(in, *output, into);
}

void CaseReader::loads(TableReader& in, std::vector<OutputLoad>& into) {
  std::set<std::string> loaded;
  std::size_t index = 0;
  for (const Node* node : in.tables("loads")) {
    TableReader table(in.source(), *node, fmt::format("load {} of {}", index + 1, in.what()), in.found());
    table.tolerances_like(in, fmt::format("loads.{}", index++));
    OutputLoad one;
    load(table, one);
    table.finish();
    one.at = table.places().whole;
    if (!one.output.empty() && !loaded.insert(one.output).second) {
      table.error("output", "robot.output-twice", fmt::format("{} loads \"{}\" twice", in.what(), shown(one.output)),
                  "keep one of the two");
    }
    into.push_back(std::move(one));
  }
}

void CaseReader::load_case(const Node& node) {
  LoadCase c;
  TableReader in(file.source(), node, "a load case", file.found());
  name(in, "load case", "both_drives_stalled", c.name);
  in.tolerances_into(robot.tolerances, "load_case." + c.name);
  in.text("description", Need::optional, "both wheels against the bench", c.description);
  double charge = 0.0;
  if (in.quantity("state_of_charge", Need::optional, Dim::fraction, up_to_one, charge)) c.state_of_charge = charge;
  Temperature ambient;
  if (in.quantity("ambient", Need::optional, Dim::temperature, ambient_range, ambient.si)) c.ambient = ambient;
  loads(in, c.loads);
  in.finish();
  c.at = in.places();
  robot.load_cases.push_back(std::move(c));
}

void CaseReader::duty_cycle(const Node& node) {
  DutyCycle c;
  TableReader in(file.source(), node, "a duty cycle", file.found());
  name(in, "duty cycle", "one_tray_out_and_back", c.name);
  in.tolerances_into(robot.tolerances, "duty_cycle." + c.name);
  in.text("description", Need::optional, "fetches a tray and comes back", c.description);
  in.number("repeats_per_day", Need::optional, {0.0, 100'000.0}, c.repeats_per_day);
  std::size_t index = 0;
  for (const Node* step_node : in.tables("step")) {
    DutyStep step;
    TableReader table(file.source(), *step_node, fmt::format("step {} of {}", index + 1, in.what()), file.found());
    table.tolerances_like(in, fmt::format("step.{}", index++));
    table.quantity("duration", Need::required, Dim::time, {1e-3, 1e6}, step.duration.si);
    loads(table, step.loads);
    table.finish();
    step.at = table.places();
    c.steps.push_back(std::move(step));
  }
  if (c.steps.empty() && in.find("step") == nullptr) {
    in.error("name", "robot.empty-cycle", fmt::format("{} has no step", in.what()),
             "describe what happens in turn: [[duty_cycle.step]] with its duration and loads");
  }
  in.finish();
  c.at = in.places();
  robot.duty_cycles.push_back(std::move(c));
}

}  // namespace

bool read_speed(TableReader& in, const char* key, Need need, const Mechanism& mechanism, Bounds bounds, double& into) {
  const Node* node = in.find(key);
  const bool speed_without_radius = !mechanism.travel_is_length && node != nullptr && node->kind == Node::Kind::text &&
                                    read_tolerated(node->text, Dim::speed).si.has_value();
  if (speed_without_radius) {
    in.error(key, "robot.no-radius",
             fmt::format("\"{}\" of {} is a speed along a way, but there is no radius", key, in.what()),
             "write an angular speed, for example \"30 rpm\", or give the mechanism a radius");
    return false;
  }
  return in.quantity(key, need, mechanism.travel_is_length ? Dim::speed : Dim::angular_speed, bounds, into);
}

void read_cases(TableReader& file, Robot& robot) {
  CaseReader reader{file, robot, {}};
  for (const Node* node : file.tables("load_case")) reader.load_case(*node);
  for (const Node* node : file.tables("duty_cycle")) reader.duty_cycle(*node);
}

}  // namespace ringout::robot
