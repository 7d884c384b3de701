// `ringout find ROBOT --on LINK`: a case about one robot, its model derived from the robot file.
#include <fmt/format.h>

#include "checks/bench_checks.h"
#include "cli/bench.h"
#include "cli/find/complaint.h"
#include "cli/find/conversation.h"
#include "cli/find/kept_case.h"
#include "cli/find/rows.h"
#include "cli/places.h"
#include "os/files.h"
#include "os/interrupts.h"
#include "reach/robot_files.h"

namespace ringout::cli {
namespace {

CaseSubject subject_of(const robot::Robot& robot, const faults::RobotModel& drawn, const faults::Complaint& complaint,
                       const Rows& rows, const find::History& history) {
  CaseSubject out{robot.name, {}, find::learned(drawn.model, history), {}, {}, drawn.notes};
  for (const faults::Trouble& t : complaint.troubles) out.trouble.push_back(trouble_text(t));
  for (const faults::FaultOrigin& f : drawn.faults) {
    out.faults.push_back(f.text);
    const std::string who = f.owner.empty() ? "" : " (" + f.owner + ")";
    out.advice.push_back({robot::name_of(f.discipline) + who, f.change, f.proof});
  }
  if (rows.own > 0) out.notes.push_back(fmt::format("{} fault rows are the team's own", rows.own));
  for (const std::string& row : taught(drawn.model, out.model, history))
    out.notes.push_back("the team's history: " + row);
  return out;
}

// Whoever answers where there is no controller.
Result<std::unique_ptr<session::Person>> person_alone(const FindCommand& command, const Terminal& terminal) {
  os::catch_interrupts();
  if (command.link.answers) return answers_person(*command.link.answers, nullptr);
  return std::make_unique<TerminalPerson>(terminal, nullptr);
}

// The bench, or nothing where it is to be done without: no link named, or one that cannot be opened, which is a fault
// to be found like any other.
Result<std::unique_ptr<Bench>> bench_of(const FindCommand& command, const Folders& catalogues,
                                        const Terminal& terminal) {
  if (command.link.on == "none") return std::unique_ptr<Bench>();
  auto bench =
      open_bench({.robot = command.robot, .link = command.link, .moves = Moves::outputs}, catalogues, terminal);
  if (bench || bench.error().kind != ErrorKind::unreachable) return bench;
  terminal.print("note: " + bench.error().message + "; going on without it, you make every check\n");
  return std::unique_ptr<Bench>();
}

// What only a controller can tell.
bool needs_a_controller(faults::CheckKind kind) {
  using Kind = faults::CheckKind;
  switch (kind) {
    case Kind::link:
    case Kind::supply_at_rest:
    case Kind::firmware:
    case Kind::program_names:
    case Kind::table:
    case Kind::inputs_at_rest:
    case Kind::record:
    case Kind::program_value:
    case Kind::supply_under_load:
    case Kind::bump:
    case Kind::sensor_response:
    case Kind::watch_bump:
    case Kind::work_sensor:
      return true;
    default:
      return false;
  }
}

std::vector<find::Index> not_without_controller(const faults::RobotModel& model) {
  std::vector<find::Index> out;
  for (find::Index o = 0; o < model.checks.size(); ++o) {
    if (needs_a_controller(model.checks[o].kind)) out.push_back(o);
  }
  return out;
}

struct Table {
  const FindCommand& command;
  const robot::Robot& robot;
  Bench* bench;  // may be null
  session::Person& person;
};

Result<faults::Complaint> complaint_of(const Table& at, const CaseFile& file) {
  if (file.kept) return kept_complaint(at.robot, file.kept->head);
  if (!at.command.trouble.empty()) return written_complaint(at.robot, at.command.trouble);
  return asked_complaint(at.robot, at.person);
}

Outcome hold_robot_case(const Table& at, const Terminal& terminal) {
  const auto kind = strategy_of(at.command.strategy);
  if (!kind) return failed(kind.error());
  const auto rows = read_rows(at.command.robot, at.command.rows);
  if (!rows) return failed(rows.error());
  const std::string history_path = given_or_beside(at.command.history, at.command.robot, history_file_name);
  const auto history = read_history_file(history_path);
  if (!history) return failed(history.error());
  auto file = case_file(at.command, at.command.robot, at.robot.name);
  if (!file) return failed(file.error());
  const auto complaint = complaint_of(at, *file);
  if (!complaint) return failed(complaint.error());
  const faults::RobotModel model = faults::robot_model(at.robot, rows->rows, *complaint);
  CaseSubject subject = subject_of(at.robot, model, *complaint, *rows, *history);
  std::vector<find::Index> left_out;
  if (at.bench == nullptr) left_out = not_without_controller(model);
  if (!left_out.empty()) {
    subject.notes.push_back(
        fmt::format("without a controller {} of {} checks cannot be made", left_out.size(), model.checks.size()));
  }
  CaseSetup setup{.subject = subject,
                  .file = *std::move(file),
                  .symptoms = symptom_lines(*complaint),
                  .history = history_path,
                  .person = at.person,
                  .left_out = std::move(left_out),
                  .strategy = *kind};
  if (at.bench == nullptr) return hold_case(setup, terminal);
  checks::BenchChecks bench(
      {.session = *at.bench->session,
       .robot = at.robot,
       .model = model,
       .complaint = *complaint,
       .known = at.bench->found ? still_valid(at.robot, *at.bench->found) : std::vector<prove::Finding>()});
  setup.bench.at_start = bench.at_start();
  setup.bench.makes = [&](find::Index o) { return bench.makes(o); };
  setup.bench.together = [&](find::Index o) { return bench.together(o); };
  setup.bench.observe = [&](find::Index o) { return bench.observe(o); };
  setup.bench.prove = [&](int times) { return bench.prove(times); };
  return hold_case(setup, terminal);
}

}  // namespace

Outcome find_in_robot(const FindCommand& command, const Folders& catalogues, const Terminal& terminal) {
  const auto robot = reach::load_robot(command.robot, catalogues);
  if (!robot) return failed(robot.error());
  if (command.as == FindAs::history) return find_history(command, command.robot, nullptr, terminal);
  auto bench = bench_of(command, catalogues, terminal);
  if (!bench) return failed(bench.error());
  if (*bench) {
    static_cast<void>((*bench)->session->open());  // a controller that is silent is a finding, not an error
    return hold_robot_case({command, (*bench)->robot, bench->get(), *(*bench)->interruptible}, terminal);
  }
  auto person = person_alone(command, terminal);
  if (!person) return failed(person.error());
  return hold_robot_case({command, *robot, nullptr, **person}, terminal);
}

}  // namespace ringout::cli
