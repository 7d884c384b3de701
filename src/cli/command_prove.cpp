#include <fmt/format.h>

#include "capture/capture.h"
#include "cli/bench.h"
#include "cli/json_bench.h"
#include "cli/places.h"
#include "cli/proving_record.h"
#include "cli/tables.h"
#include "os/files.h"

namespace ringout::cli {
namespace {

constexpr double sure_enough = 0.9;  // as the agreement takes it

void show(const ProveResult& result, const Terminal& terminal) {
  terminal.print("\n" + agreement_text(result.agreement, terminal.colour()) +
                 supply_text(result.supply.value_or(prove::SupplyFinding{})));
}

std::optional<prove::SupplyFinding> seen_supply(const prove::SupplyFinding& supply) {
  return supply.rest_volts > 0.0 ? std::optional(supply) : std::nullopt;
}

ExitStatus status_of(const prove::Agreement& agreement) {
  return agreement.ready() ? ExitStatus::in_order : ExitStatus::findings;
}

// From a capture, without a controller: the same findings as when it was taken.
Outcome replay(const ProveCommand& command, const Folders& catalogues, const Terminal& terminal) {
  const auto robot = reach::load_robot(command.robot, catalogues);
  if (!robot) return failed(robot.error());
  const auto replayed = replay_capture(command.replay, *robot);
  if (!replayed) return failed(replayed.error());
  ProveResult result;
  result.findings = replayed->findings;
  result.agreement = prove::agree(*robot, replayed->coded, replayed->findings);
  result.corrections = prove::corrected_wiring(*robot, replayed->findings);
  result.capture = command.replay;
  const char* carried = replayed->coded ? "from the capture, with what the controller carried then\n"
                                        : "from the capture; what the controller carries is not in it\n";
  terminal.print(carried + replayed->remarks);
  result.supply = seen_supply(replayed->supply);
  show(result, terminal);
  return {status_of(result.agreement), json_prove(result), {}};
}

// What is kept, without a controller.
Outcome show_kept(const ProveCommand& command, const Folders& catalogues, const Terminal& terminal) {
  const auto robot = reach::load_robot(command.robot, catalogues);
  if (!robot) return failed(robot.error());
  const std::string path = given_or_beside(command.findings, command.robot, found_file_name);
  if (!os::is_file(path)) {
    return failed({ErrorKind::bad_input, "cli.nothing-found-yet", "nothing was proved yet: there is no " + path,
                   "name a controller with --on to prove; 'ringout links' lists what can be reached"});
  }
  const auto found = read_found_file(path);
  if (!found) return failed(found.error());
  ProveResult result;
  result.findings = found->findings();
  result.agreement = agreement_on_paper(*robot, *found);
  result.corrections = prove::corrected_wiring(*robot, still_valid(*robot, *found));
  result.person = found->person;
  result.found_file = path;
  terminal.print(
      fmt::format("as kept in {}, found on {}{}\n", path, found->on,
                  is_simulated(found->on) ? ": a simulated robot, which proves nothing about a real one" : ""));
  show(result, terminal);
  return {status_of(result.agreement), json_prove(result), {}};
}

Result<void> keep_findings(Bench& bench, const session::Proving& proving, const std::string& path,
                           ProveResult& result) {
  FoundFile kept = bench.found.value_or(FoundFile{});
  const link::Controller& controller = bench.session->client().controller();
  kept.robot = bench.robot.name;
  kept.on = bench.link.stream->name();
  kept.identity = controller.identity_text();
  kept.person = bench.person_words;
  kept.table_fingerprint = controller.table_fingerprint;
  if (proving.coded) kept.coded = proving.coded;  // as it was read at the start: the link may be gone by now
  std::vector<prove::Finding> tested;
  for (const auto& finding : proving.findings) {
    // What a proving that ended early did not come to is left as it was.
    const bool sure = !proving.ended_early || finding.confidence >= sure_enough;
    if (sure && finding.condition != prove::Condition::untested) tested.push_back(finding);
  }
  merge(kept, bench.robot, tested, today(), bench.link.stream->name());
  // The table shows everything that is known, also what was found earlier and still holds.
  result.agreement = agreement_on_paper(bench.robot, kept);
  result.findings = kept.findings();
  result.corrections = prove::corrected_wiring(bench.robot, still_valid(bench.robot, kept));
  result.found_file = path;
  return os::write_atomically(path, found_text(kept));
}

Outcome prove_on(const ProveCommand& command, const Folders& catalogues, const Terminal& terminal) {
  CaptureRecord record;
  auto opened = open_bench({.robot = command.robot,
                            .link = command.link,
                            .found = command.findings,
                            .moves = Moves::outputs,
                            .finds = Finds::something,
                            .also = [&record](const session::Event& event) { record.add(event); }},
                           catalogues, terminal);
  if (!opened) return failed(opened.error());
  Bench& bench = **opened;
  if (auto controller = bench.session->open(); !controller) return failed(controller.error());
  const std::string capture_path =
      given_or_beside(command.capture, command.robot, ".ringout/prove-" + time_stamp() + ".capture");
  if (auto begun = record.begin(capture_path, bench.robot, bench.session->client().controller()); !begun) {
    return failed(begun.error());
  }
  const session::Proving proving = bench.session->prove({});
  if (proving.coded) record.add(*proving.coded);
  const bool nothing_seen = proving.evidence.bumps.empty() && proving.hands.empty();
  if (nothing_seen && proving.ended_early) {
    record.discard();
    return failed(*proving.ended_early);
  }
  ProveResult result;
  result.person = bench.person_words;
  result.capture = capture_path;
  const auto kept = keep_findings(bench, proving, bench.found_path, result);
  result.supply = seen_supply(proving.supply);
  show(result, terminal);
  terminal.print(fmt::format("kept in {}; capture {}\n", result.found_file, capture_path));
  if (proving.ended_early) return failed(*proving.ended_early, json_prove(result));
  if (!kept) return failed(kept.error(), json_prove(result));
  if (auto whole = record.end(); !whole) return failed(whole.error(), json_prove(result));
  return {status_of(result.agreement), json_prove(result), {}};
}

}  // namespace

Outcome run(const ProveCommand& command, const Folders& catalogues, const Terminal& terminal) {
  if (!command.replay.empty()) return replay(command, catalogues, terminal);
  if (command.link.on == "none") return show_kept(command, catalogues, terminal);
  return prove_on(command, catalogues, terminal);
}

}  // namespace ringout::cli
