// `ringout find ROBOT --on LINK`: a case about one robot, its model derived from the robot file.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "checks/bench_checks.h"
#include "cli/bench.h"
#include "cli/find/case_answers.h"
#include "cli/find/complaint.h"
#include "cli/find/conversation.h"
#include "cli/find/json.h"
#include "cli/find/kept_case.h"
#include "cli/find/patience.h"
#include "cli/find/rows.h"
#include "cli/places.h"
#include "os/files.h"
#include "os/interrupts.h"
#include "reach/robot_files.h"

namespace ringout::cli {
namespace {

// Answers are checked once the model is known, unless they are needed for that.
AnswersChecked checked(const FindCommand& command) {
  const bool asks = !command.resume && command.trouble.empty();
  return asks ? AnswersChecked::at_opening : AnswersChecked::by_the_caller;
}

// Whoever answers where there is no controller.
Result<std::unique_ptr<session::Person>> person_alone(const FindCommand& command, const robot::Robot& robot,
                                                      const Terminal& terminal) {
  os::catch_interrupts();
  const bool now = checked(command) == AnswersChecked::at_opening;
  if (command.link.answers) return answers_person(*command.link.answers, nullptr, now ? &robot : nullptr);
  return std::make_unique<TerminalPerson>(terminal, nullptr);
}

// The bench, or nothing where it is to be done without: no link named, or one that cannot be opened, which is a fault
// to be found like any other.
Result<std::unique_ptr<Bench>> bench_of(const FindCommand& command, const Folders& catalogues,
                                        const Terminal& terminal) {
  if (command.link.on == "none") return std::unique_ptr<Bench>();
  auto bench =
      open_bench({.robot = command.robot, .link = command.link, .moves = Moves::outputs, .answers = checked(command)},
                 catalogues, terminal);
  if (bench || bench.error().kind != ErrorKind::unreachable) return bench;
  terminal.print("note: " + bench.error().message + "; going on without it, you make every check\n");
  return std::unique_ptr<Bench>();
}

// What only the controller's own word can tell; `recorded`: what was found of it stands beside the robot file.
std::vector<find::Index> not_without_controller(const faults::RobotModel& model, bool recorded) {
  using Kind = faults::CheckKind;
  std::vector<find::Index> out;
  for (find::Index o = 0; o < model.checks.size(); ++o) {
    const faults::CheckOrigin& check = model.checks[o];
    const bool with_bench = check.kind == Kind::watch_bump || check.kind == Kind::work_sensor;
    const bool of_bench = check.witness == faults::Witness::bench && !(check.kind == Kind::record && recorded);
    if (of_bench || with_bench) out.push_back(o);
  }
  return out;
}

std::string left_out_text(const faults::RobotModel& model, const std::vector<find::Index>& left_out) {
  std::vector<std::string> kinds;
  for (const find::Index o : left_out) {
    const std::string kind(faults::name_of(model.checks[o].kind));
    if (std::find(kinds.begin(), kinds.end(), kind) == kinds.end()) kinds.push_back(kind);
  }
  return fmt::format(
      "no controller: you make every check. Left out, because only its link can tell: {}. Have the program work "
      "a point for what a bump would show",
      fmt::join(kinds, ", "));
}

// What earlier provings of the real robot found, where no bench is there to hold it against.
std::vector<prove::Finding> recorded_findings(const std::string& robot_path, const robot::Robot& robot) {
  const std::string path = given_or_beside("", robot_path, found_file_name);
  if (!os::is_file(path)) return {};
  const auto found = read_found_file(path);
  return found && !is_simulated(found->on) ? still_valid(robot, *found) : std::vector<prove::Finding>();
}

struct Table {
  const FindCommand& command;
  const robot::Robot& robot;
  Bench* bench;  // may be null
  session::Person& person;
};

// "ringout prove ROBOT --on LINK" with this robot file and this link.
std::string with_names(std::string words, const FindCommand& command) {
  const auto put = [&](std::string_view placeholder, const std::string& name) {
    const std::size_t at = words.find(placeholder);
    if (at != std::string::npos && !name.empty()) words.replace(at, placeholder.size(), name);
  };
  put("LINK", command.link.on == "none" ? "" : command.link.on);
  put("ROBOT", command.robot);
  return words;
}

CaseSubject subject_of(const Table& at, const faults::RobotModel& drawn, const faults::Complaint& complaint,
                       const Rows& rows, const find::History& history) {
  CaseSubject out{at.robot.name, {}, find::learned(drawn.model, history), {}, {}, drawn.notes};
  for (const faults::Trouble& t : complaint.troubles) out.trouble.push_back(trouble_text(t));
  for (const faults::FaultOrigin& f : drawn.faults) {
    out.faults.push_back(f.text);
    const std::string who = f.owner.empty() ? "" : " (" + f.owner + ")";
    out.advice.push_back({robot::name_of(f.discipline) + who, f.change, with_names(f.proof, at.command)});
  }
  if (rows.own > 0) out.notes.push_back(fmt::format("{} fault rows are the team's own", rows.own));
  for (const std::string& row : taught(drawn.model, out.model, history))
    out.notes.push_back("the team's history: " + row);
  return out;
}

Result<faults::Complaint> complaint_of(const Table& at, const CaseFile& file, const Terminal& terminal) {
  if (file.kept) return kept_complaint(at.robot, file.kept->head);
  if (!at.command.trouble.empty()) return written_complaint(at.robot, at.command.trouble);
  return asked_complaint(at.robot, at.person,
                         [&](const session::Question& question) { terminal.record(json_question(question)); });
}

// The record is a file: it is read without a controller, too.
void read_records(BenchSide& bench, const faults::RobotModel& model, const std::vector<prove::Finding>& recorded) {
  const auto is_record = [&model](find::Index o) { return model.checks[o].kind == faults::CheckKind::record; };
  for (find::Index o = 0; o < model.checks.size(); ++o) {
    if (is_record(o)) bench.at_start.push_back(o);
  }
  bench.makes = is_record;
  bench.observe = [&model, &recorded](find::Index o) -> Result<find::Observed> {
    const checks::Reading reading = checks::read_record(recorded, model.checks[o].point);
    const auto outcome = model.outcome_of(o, reading.shown.value_or(faults::Shown::never));
    if (!outcome) return find::Observed{find::Observed::How::cannot_tell, 0, reading.words};
    return find::Observed{find::Observed::How::seen, *outcome, reading.words};
  };
}

// Of each output. What a check was to move and did not took no time: nobody agreed to it, or it could not be begun.
std::vector<int> bumps_left(const Table& at) {
  std::vector<int> out;
  for (const robot::Output& o : at.robot.outputs) out.push_back(at.bench->session->bumps_left(o.name));
  return out;
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
  const auto complaint = complaint_of(at, *file, terminal);
  if (!complaint) return failed(complaint.error());
  const faults::RobotModel model = faults::robot_model(
      at.robot, rows->rows, *complaint, at.bench == nullptr ? faults::Controller::none : faults::Controller::answers);
  if (auto right = check_case_answers(at.command.link.answers, model.model, &at.robot); !right)
    return failed(right.error());
  CaseSubject subject = subject_of(at, model, *complaint, *rows, *history);
  std::vector<find::Index> left_out;
  const std::vector<prove::Finding> recorded =
      at.bench == nullptr ? recorded_findings(at.command.robot, at.robot) : std::vector<prove::Finding>();
  if (at.bench == nullptr) left_out = not_without_controller(model, !recorded.empty());
  if (!left_out.empty()) subject.notes.push_back(left_out_text(model, left_out));
  Patience patience(patience_of(at.command));
  CaseSetup setup{.subject = subject,
                  .file = *std::move(file),
                  .symptoms = symptom_lines(*complaint),
                  .history = history_path,
                  .person = at.person,
                  .left_out = std::move(left_out),
                  .strategy = *kind,
                  .effort = patience.effort()};
  if (at.bench == nullptr) {
    if (!recorded.empty()) read_records(setup.bench, model, recorded);
    return hold_case(setup, terminal);
  }
  checks::BenchChecks bench(
      {.session = *at.bench->session,
       .robot = at.robot,
       .model = model,
       .complaint = *complaint,
       .known = at.bench->found ? still_valid(at.robot, *at.bench->found) : std::vector<prove::Finding>()});
  setup.bench.at_start = bench.at_start();
  setup.bench.makes = [&](find::Index o) { return bench.makes(o); };
  setup.bench.out_of_reach = [&] { return bench.out_of_reach(); };
  setup.bench.together = [&](find::Index o) { return bench.together(o); };
  setup.bench.observe = [&](find::Index o) {
    const std::vector<int> before = bumps_left(at);
    Result<find::Observed> made = bench.observe(o);
    const bool told_nothing = made && made->how == find::Observed::How::cannot_tell;
    if (told_nothing && model.checks[o].moves == faults::Moves::yes && bumps_left(at) == before)
      made->how = find::Observed::How::not_made;
    return made;
  };
  setup.bench.repaired = [&] { bench.forget(); };
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
  auto person = person_alone(command, *robot, terminal);
  if (!person) return failed(person.error());
  return hold_robot_case({command, *robot, nullptr, **person}, terminal);
}

}  // namespace ringout::cli
