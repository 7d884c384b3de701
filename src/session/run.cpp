// The team's program: started under a live permission, watched line by line, bounded in time.
#include <fmt/format.h>

#include <algorithm>

#include "link/words.h"
#include "session/session.h"

namespace ringout::session {
namespace {

constexpr Duration look_period = Duration::milliseconds(50);
constexpr int stack_not_counted = 0xFFFF;  // the twin's answer

}  // namespace

ProgramAt Session::program_at(const link::AgentStatus& status) const {
  ProgramAt at{
      .state = link::name_of(status.program), .line = status.program_line, .step = status.step, .waiting_for = ""};
  const std::size_t outputs = setup_.robot.outputs.size();
  const std::size_t input = static_cast<std::size_t>(status.wait_point) - outputs;
  switch (status.wait) {
    case wire::WaitKind::nothing:
      break;
    case wire::WaitKind::time:
      at.waiting_for = "its time";
      break;
    case wire::WaitKind::input:
      at.waiting_for = input < setup_.robot.inputs.size() ? setup_.robot.inputs[input].name : "an input";
      break;
    case wire::WaitKind::condition:
      at.waiting_for = "a condition";
      break;
  }
  return at;
}

// The agent lets the program move an unproved output no further than one bump may, either way; here that is counted.
Result<void> Session::bound_unproved() {
  std::string names;
  for (const robot::Output& output : setup_.robot.outputs) {
    const bool driven = output.kind == robot::PointKind::bridge_motor || output.kind == robot::PointKind::on_off;
    if (driven && !is_proved(output)) names += (names.empty() ? "" : ", ") + output.name;
  }
  if (names.empty()) return {};
  if (!plan_.conflicts.empty()) {
    return failure(ErrorKind::refused, "session.no-safe-bump",
                   "these are not proved, and no motion is safe for every device of this robot: " + names + " (" +
                       plan_.conflicts.front() + ")",
                   "state more clearance in the robot file and provide it, or lower max_level");
  }
  if (Result<void> room = ask_clearances(); !room) return room;
  for (const robot::Output& output : setup_.robot.outputs) {
    if (setup_.robot.port_of(output.port).kind != robot::PortKind::bridge || is_proved(output)) continue;
    HalvesMade& made = halves_made_.at(setup_.robot.port_of(output.port).index);
    if (std::max(made.out, made.back) >= plan_.pairs_allowed) {
      return failure(ErrorKind::refused, "session.no-room-left",
                     "'" + output.name + "' has used the room that is safe before it is proved",
                     "bring every mechanism back to the middle of its travel and start anew, or prove it");
    }
    ++made.out;
    ++made.back;
  }
  const prove::UnprovedBounds bounds = plan_.bounds();
  tell(Notice{fmt::format("not proved, so in this run each of these moves for {} ms in all, with {:.0f} % at most: {}",
                          bounds.max_duration_ms, bounds.max_level_permille / 10.0, names)});
  return {};
}

Result<ProgramRun> Session::run(const RunOptions& options) {
  if (Result<void> suits = run_control_suits(); !suits) return tl::unexpected<Error>(suits.error());
  if (Result<void> suits = controller_suits(); !suits) return tl::unexpected<Error>(suits.error());
  if (!(client_.controller().features & wire::feature_program)) {
    return failure(
        ErrorKind::refused, "session.no-program", "this firmware has no program built in",
        "build the team's firmware with its program ('ringout build ROBOT PROGRAM --for CHIP', or --for twin) and "
        "write it to the controller");
  }
  if (Result<void> ready = before_motion(); !ready) return tl::unexpected<Error>(ready.error());
  if (Result<void> bounded = bound_unproved(); !bounded) return tl::unexpected<Error>(bounded.error());
  Result<link::Permission> held = permission();
  if (!held) return tl::unexpected<Error>(held.error());
  Result<ProgramRun> run = watch_program(*held, options);
  if (!run) static_cast<void>(client_.stop());  // the run's own error is what the person must hear
  if (Result<void> person = check_person(); !person) return tl::unexpected<Error>(person.error());
  return run;
}

Result<ProgramRun> Session::watch_program(link::Permission& held, const RunOptions& options) {
  ProgramRun run;
  const Instant begin = client_.now();
  if (Result<void> started = held.start_program(); !started) return tl::unexpected<Error>(started.error());
  ProgramAt last;
  while (true) {
    const Result<link::AgentStatus> status = client_.status();
    if (!status) return tl::unexpected<Error>(status.error());
    const ProgramAt at = program_at(*status);
    if (at.line != last.line || at.state != last.state || at.waiting_for != last.waiting_for || at.step != last.step) {
      tell(at);
      last = at;
    }
    run.state = status->program;
    if (status->program_line != 0) run.last_line = status->program_line;
    if (!status->step.empty()) run.last_step = status->step;
    run.took = client_.now() - begin;
    if (status->unused_stack < stack_not_counted) run.unused_stack = status->unused_stack;
    // Ended, stopped, or the controller has started anew and knows of no program that runs.
    if (status->program != wire::ProgramState::running) {
      run.ended_by = link::words_for(status->stop_cause);
      if (status->program == wire::ProgramState::ended) return run;
      return tl::unexpected<Error>(
          link::stopped_by(status->stop_cause, "the program, at line " + std::to_string(run.last_line) +
                                                   (run.last_step.empty() ? "" : " (step \"" + run.last_step + "\")")));
    }
    if (run.took >= options.at_most) {
      return failure(ErrorKind::stopped, "session.program-too-long",
                     "the program was stopped after its longest time; it was at line " + std::to_string(run.last_line) +
                         (at.waiting_for.empty() ? "" : ", waiting for " + at.waiting_for),
                     "see what it waits for, or allow it more time");
    }
    // Losing the permission ends the program; the next look says why.
    const Result<void> waited = held.wait_until(client_.now() + look_period);
    if (!waited && waited.error().kind == ErrorKind::unreachable) return tl::unexpected<Error>(waited.error());
    if (!waited && waited.error().id == "link.let-go") return tl::unexpected<Error>(waited.error());
  }
}

}  // namespace ringout::session
