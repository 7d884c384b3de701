#include "checks/bench_checks.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

#include "prove/explanation.h"
#include "prove/port_load.h"

namespace ringout::checks {

using faults::CheckKind;
using faults::Shown;

namespace {

// She holds probes or looks at a part that the bench bumps for her, and tells what she saw. What the bench cannot drive
// the program works for her.
bool bumped_for_her(const faults::CheckOrigin& check) {
  const CheckKind kind = check.kind;
  const bool hers = kind == CheckKind::meter_port || kind == CheckKind::meter_connector ||
                    kind == CheckKind::swap_device || kind == CheckKind::unhook;
  return hers && std::find(check.outcomes.begin(), check.outcomes.end(), Shown::refused) != check.outcomes.end();
}

constexpr Duration looked_at = Duration::milliseconds(200);
// A load for the supply leaves a bump for what it may be needed for.
constexpr int fewest_left_for_load = 2;

bool is_hers(const Error& error) {
  return error.kind == ErrorKind::interrupted || error.id.starts_with("answers.") ||
         error.id.starts_with("terminal.") || error.id == "cli.no-answer";
}

find::Observed observed(const Reading& reading, const faults::CheckOrigin& check) {
  if (!reading.shown) return {find::Observed::How::cannot_tell, 0, reading.words};
  if (const auto exact = check.outcome(*reading.shown, reading.where))
    return {find::Observed::How::seen, *exact, reading.words};
  const auto outcome = nearest_outcome(*reading.shown, check.outcomes);
  if (!outcome) return {find::Observed::How::cannot_tell, 0, reading.words};
  return {find::Observed::How::seen, static_cast<find::Index>(*outcome), reading.words};
}

}  // namespace

bool BenchChecks::together(find::Index observation) const {
  const CheckKind kind = origin(observation).kind;
  return kind == CheckKind::watch_bump || kind == CheckKind::work_sensor || kind == CheckKind::program_value ||
         bumped_for_her(origin(observation));
}

bool BenchChecks::makes(find::Index observation) const {
  const faults::CheckOrigin& check = origin(observation);
  return check.witness == faults::Witness::bench || together(observation);
}

std::vector<find::Index> BenchChecks::at_start() const {
  std::vector<find::Index> out;
  for (find::Index o = 0; o < setup_.model.checks.size(); ++o) {
    if (makes(o) && !together(o) && origin(o).moves == faults::Moves::no) out.push_back(o);
  }
  return out;
}

Result<find::Observed> BenchChecks::observe(find::Index observation) {
  const faults::CheckOrigin& check = origin(observation);
  if (check.moves == faults::Moves::yes || together(observation)) readiness_.reset();
  if (bumped_for_her(check)) {
    const Result<void> bumped = bump(check.point);
    if (bumped) return find::Observed{find::Observed::How::ask_the_person, 0, "it was bumped"};
    if (is_hers(bumped.error())) return tl::unexpected<Error>(bumped.error());
    return without(bumped.error(), check);
  }
  if (check.kind == CheckKind::program_value) return program_at(check.point);
  const Result<Reading> reading = read(check);
  if (reading) {
    heard_ = heard_ || check.kind != CheckKind::record;
    return observed(*reading, check);
  }
  if (is_hers(reading.error())) return tl::unexpected<Error>(reading.error());
  find::Observed out = without(reading.error(), check);
  if (check.kind == CheckKind::link && out.how == find::Observed::How::seen) silent_ = out.nothing_more = true;
  return out;
}

bool BenchChecks::may_load(const std::string& output) const {
  return setup_.session.bumps_left(output) >= fewest_left_for_load && overload(output) == Overload::none;
}

bool BenchChecks::has_its_bump(const faults::CheckOrigin& check) const {
  const session::Session& session = setup_.session;
  const auto readable = [&](const std::string& output) {
    return session.bumps_left(output) > 0 || last_bump_serves(check, output);
  };
  switch (check.kind) {
    case CheckKind::bump:
      return readable(check.point);
    case CheckKind::sensor_response:
      return readable(setup_.robot.input(check.point)->senses_output);
    case CheckKind::watch_bump:
      return session.bumps_left(check.point) > 0;
    case CheckKind::supply_under_load:
      return std::any_of(setup_.robot.outputs.begin(), setup_.robot.outputs.end(),
                         [&](const robot::Output& o) { return may_load(o.name); });
    default:
      return !bumped_for_her(check) || session.bumps_left(check.point) > 0;
  }
}

BenchChecks::Overload BenchChecks::overload_of(const std::string& output,
                                               const std::vector<capture::BumpRecord>& records) const {
  const robot::Output& drawn = *setup_.robot.output(output);
  const auto load = prove::port_load(setup_.robot, drawn, records);
  if (!load || !prove::far_too_much(*load)) return Overload::none;
  // Only what turns can be held.
  return load->like == prove::LoadLike::held && prove::turns(setup_.robot, drawn) ? Overload::held : Overload::shorted;
}

BenchChecks::Overload BenchChecks::overload(const std::string& output) const {
  const auto last = bumped_.find(output);
  return last == bumped_.end() ? Overload::none : last->second.overload;
}

bool BenchChecks::drives_an_overload(const faults::CheckOrigin& check) const {
  switch (check.kind) {
    case CheckKind::bump:
      return overload(check.point) != Overload::none && !last_bump_serves(check, check.point);
    case CheckKind::sensor_response: {
      const std::string& output = setup_.robot.input(check.point)->senses_output;
      return overload(output) != Overload::none && !last_bump_serves(check, output);
    }
    case CheckKind::watch_bump:
    case CheckKind::meter_port:
    case CheckKind::meter_connector:
    case CheckKind::operate:
      return overload(check.point) != Overload::none;
    case CheckKind::swap_device:  // with another one, or without what holds it, it is driven to see just that
    case CheckKind::swap_port:
    case CheckKind::unhook:
      return overload(check.point) == Overload::shorted;
    default:
      return false;
  }
}

std::vector<find::Index> BenchChecks::out_of_reach() const {
  std::vector<find::Index> out;
  for (find::Index o = 0; o < setup_.model.checks.size(); ++o) {
    if ((makes(o) && !has_its_bump(origin(o))) || drives_an_overload(origin(o))) out.push_back(o);
  }
  return out;
}

// A failure that tells something is an observation; any other leaves the check to nobody, and what was refused took no
// time.
find::Observed BenchChecks::without(const Error& error, const faults::CheckOrigin& check) const {
  Reading reading{std::nullopt, error.message};
  // A cable that comes out in the middle tells nothing of the fault that is looked for; that a silent link carries
  // nothing else either is no second answer.
  const bool link = check.kind == CheckKind::link;
  if (error.kind == ErrorKind::unreachable && !heard_ && (link || !silent_))
    reading.shown = link ? Shown::silent : Shown::no_link;
  const bool other =
      error.id == "session.other-table" || error.id == "session.other-program" || error.id == "session.other-firmware";
  if (other) reading.shown = Shown::refused;
  if (error.id == "session.supply-fell" && check.kind == CheckKind::supply_under_load) reading.shown = Shown::sags;
  if (error.id == "link.stopped" && check.kind == CheckKind::bump) reading.shown = Shown::held;
  find::Observed out = observed(reading, check);
  if (error.kind == ErrorKind::refused && out.how == find::Observed::How::cannot_tell)
    out.how = find::Observed::How::not_made;
  return out;
}

Result<Reading> BenchChecks::read(const faults::CheckOrigin& check) {
  session::Session& session = setup_.session;
  const robot::Output* output = setup_.robot.output(check.point);
  const robot::Input* input = setup_.robot.input(check.point);
  switch (check.kind) {
    case CheckKind::link: {
      const auto controller = session.open();
      if (!controller) return tl::unexpected<Error>(controller.error());
      return Reading{Shown::as_should, "controller " + controller->identity_text()};
    }
    case CheckKind::supply_at_rest:
      return by_ready("supply", Shown::low);
    case CheckKind::firmware:
      return by_ready("firmware", Shown::differs);
    case CheckKind::program_names:
      return by_ready("program", Shown::differs);
    case CheckKind::table:
      return by_ready("table", Shown::differs);
    case CheckKind::record:
      return read_record(setup_.known, check.point);
    case CheckKind::supply_under_load:
      return under_load(check);
    case CheckKind::inputs_at_rest: {
      const auto samples = session.samples_at_rest();
      if (!samples) return tl::unexpected<Error>(samples.error());
      return read_at_rest(setup_.robot, *input, *samples);
    }
    case CheckKind::bump: {
      const auto bumps = bumps_for(check, check.point);
      if (!bumps) return tl::unexpected<Error>(bumps.error());
      return read_bump(setup_.robot, *output, **bumps);
    }
    case CheckKind::sensor_response: {
      const auto bumps = bumps_for(check, input->senses_output);
      if (!bumps) return tl::unexpected<Error>(bumps.error());
      return read_response(setup_.robot, *input, **bumps);
    }
    case CheckKind::watch_bump: {
      const auto seen = session.watch_output(check.point);
      if (!seen) return tl::unexpected<Error>(seen.error());
      return read_looks(*output, seen->looks);
    }
    case CheckKind::work_sensor: {
      const auto record = session.work_input(check.point);
      if (!record) return tl::unexpected<Error>(record.error());
      return read_hand(setup_.robot, *input, *record);
    }
    default:
      return Reading{};
  }
}

// What a program sends shows only while it runs, which is not the bench's to start, and whether it is the value that it
// should be then, she knows alone: the bench says what it reads.
Result<find::Observed> BenchChecks::program_at(const std::string& output) {
  std::string words;
  const auto seen = setup_.session.meters(looked_at, [&](const session::Meters& meters) {
    for (const session::MeterReading& m : meters.points) {
      if (m.point == output && m.commanded && !meters.waiting_line.empty())
        words = fmt::format("the program is at {} and commands {} {:.0f} %", meters.waiting_line, output,
                            100.0 * *m.commanded);
    }
    return false;
  });
  if (!seen && is_hers(seen.error())) return tl::unexpected<Error>(seen.error());
  if (words.empty()) words = "no program runs now: it is for you to run it";
  return find::Observed{find::Observed::How::ask_the_person, 0, seen ? words : seen.error().message};
}

// One step of go/no-go.
Result<Reading> BenchChecks::by_ready(const char* step, Shown bad) {
  if (!readiness_) readiness_ = setup_.session.ready(session::ReadyDepth::readings);
  for (const session::ReadyStep& s : readiness_->steps) {
    if (s.id != step) continue;
    // Less than half of what its own limit asks for does not come from the battery.
    const double volts = std::strtod(s.reading.c_str(), nullptr);
    const bool none = s.id == "supply" && volts < 0.5 * setup_.robot.board.supply_low.si;
    const std::string words = s.reading + (s.limit.empty() ? "" : ", wanted " + s.limit);
    return Reading{s.verdict == session::StepVerdict::good ? Shown::as_should : none ? Shown::none : bad, words};
  }
  if (readiness_->ended_early) return tl::unexpected<Error>(*readiness_->ended_early);
  return Reading{};
}

Result<void> BenchChecks::bump(const std::string& output) {
  auto records = setup_.session.bump_output(output);
  if (!records) return tl::unexpected<Error>(records.error());
  const Overload overload = overload_of(output, *records);
  bumped_[output] = {*std::move(records), {}, overload};
  return {};
}

bool BenchChecks::last_bump_serves(const faults::CheckOrigin& check, const std::string& output) const {
  const auto last = bumped_.find(output);
  return last != bumped_.end() && !last->second.read_by.contains({check.kind, check.point});
}

// Anew, as long as the session's budget of bumps allows and nothing speaks against driving it again; then the last ones
// serve, but each check only once: read twice they are no second evidence.
Result<const std::vector<capture::BumpRecord>*> BenchChecks::bumps_for(const faults::CheckOrigin& check,
                                                                       const std::string& output) {
  const bool again = setup_.session.bumps_left(output) > 0 && overload(output) == Overload::none;
  if (again || !last_bump_serves(check, output)) {
    if (Result<void> bumped = bump(output); !bumped) return tl::unexpected<Error>(bumped.error());
  }
  bumped_[output].read_by.insert({check.kind, check.point});
  return &bumped_[output].records;
}

void BenchChecks::forget() {
  bumped_.clear();
  readiness_.reset();
}

Result<Reading> BenchChecks::under_load(const faults::CheckOrigin& check) {
  for (const robot::Output& output : setup_.robot.outputs) {
    if (!may_load(output.name)) continue;
    const auto bumps = bumps_for(check, output.name);
    if (!bumps) return tl::unexpected<Error>(bumps.error());
    const Reading sag = read_sag(setup_.robot, **bumps);
    if (sag.shown) return sag;
  }
  return Reading{};
}

Result<std::optional<find::Proof::Result>> BenchChecks::prove(int times) {
  forget();
  int made = 0;
  for (int i = 0; i < times; ++i) {
    for (const faults::Trouble& trouble : setup_.complaint.troubles) {
      const robot::Output* output = setup_.robot.output(trouble.point);
      const bool shows_in_a_bump = trouble.symptom == faults::Symptom::nothing ||
                                   trouble.symptom == faults::Symptom::another_acts ||
                                   trouble.symptom == faults::Symptom::wrong_way;
      if (output == nullptr || !shows_in_a_bump || setup_.session.bumps_left(trouble.point) < 1) continue;
      const Result<void> bumped = bump(trouble.point);
      if (!bumped && is_hers(bumped.error())) return tl::unexpected<Error>(bumped.error());
      if (!bumped) return std::optional<find::Proof::Result>();
      const Reading reading = read_bump(setup_.robot, *output, bumped_[trouble.point].records);
      if (reading.shown && *reading.shown != Shown::as_should) return find::Proof::Result::failed;
      ++made;
    }
  }
  const bool all =
      !setup_.complaint.troubles.empty() && made == times * static_cast<int>(setup_.complaint.troubles.size());
  return all ? std::optional(find::Proof::Result::held) : std::nullopt;
}

}  // namespace ringout::checks
