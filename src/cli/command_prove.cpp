#include <fmt/format.h>

#include <algorithm>

#include "capture/capture.h"
#include "cli/bench.h"
#include "cli/json_bench.h"
#include "cli/places.h"
#include "cli/proving_record.h"
#include "cli/tables.h"
#include "os/files.h"

namespace ringout::cli {
namespace {

void show(const ProveResult& result, const Terminal& terminal) {
  terminal.print("\n" + agreement_text(result.agreement, terminal.colour(), result.whole) +
                 supply_text(result.supply.value_or(prove::SupplyFinding{})));
}

std::optional<prove::SupplyFinding> seen_supply(const prove::SupplyFinding& supply) {
  return supply.rest_volts > 0.0 ? std::optional(supply) : std::nullopt;
}

std::string drawing_of(const robot::Robot& robot) {
  return fmt::format("{:08x}", wiring_fingerprint(robot));
}

bool found_later(const FoundFile& kept, const std::string& point, const std::string& date) {
  const auto at = std::find_if(kept.points.begin(), kept.points.end(),
                               [&](const KeptFinding& k) { return k.finding.point == point; });
  return at != kept.points.end() && at->when > date;
}

ExitStatus status_of(const ProveResult& result) {
  return result.whole && result.agreement.ready() ? ExitStatus::in_order : ExitStatus::findings;
}

// What was found, and what it was found on.
struct Proved {
  const robot::Robot& robot;
  const std::vector<prove::Finding>& findings;
  const std::optional<prove::Coded>& coded;
  const Taken& taken;
  std::uint32_t table_fingerprint = 0;
};

Result<void> keep_findings(const Proved& proved, const std::optional<FoundFile>& earlier, const std::string& path,
                           ProveResult& result) {
  FoundFile kept = earlier.value_or(FoundFile{});
  kept.robot = proved.robot.name;
  kept.on = proved.taken.on;
  kept.identity = proved.taken.identity;
  kept.person = proved.taken.person;
  kept.table_fingerprint = proved.table_fingerprint;
  if (proved.coded) kept.coded = proved.coded;
  std::vector<prove::Finding> tested;
  for (const auto& finding : proved.findings) {
    // What a proving that ended early did not come to is left as it was.
    const bool sure = proved.taken.whole || finding.confidence >= prove::sure_enough;
    if (sure && finding.condition != prove::Condition::untested) tested.push_back(finding);
  }
  merge(kept, proved.robot, tested, proved.taken.date, proved.taken.on);
  // The table shows everything that is known, also what was found earlier and still holds.
  result.agreement = agreement_on_paper(proved.robot, kept);
  result.findings = kept.findings();
  result.corrections = prove::corrected_wiring(proved.robot, still_valid(proved.robot, kept));
  result.found_file = path;
  return os::write_atomically(path, found_text(kept));
}

// What is kept already and may be added to from this capture; nothing where it was found on another simulated robot.
Result<std::optional<FoundFile>> kept_of_same_machine(const std::string& path, const Taken& taken) {
  std::optional<FoundFile> earlier;
  if (!os::is_file(path)) return earlier;
  auto found = read_found_file(path);
  if (!found) return tl::unexpected(found.error());
  const bool same = same_machine(found->on, taken.on) == SameMachine::yes;
  const bool other_controller =
      !is_simulated(taken.on) && !found->identity.empty() && found->identity != taken.identity;
  if ((!same && !is_simulated(found->on)) || (same && other_controller)) {
    return failure(ErrorKind::bad_input, "cli.found-on-another-machine",
                   fmt::format("{} was found on {} (controller {}), the capture on {} (controller {})", path, found->on,
                               found->identity, taken.on, taken.identity),
                   "keep what is in the capture in another place: --findings FILE");
  }
  if (same) earlier = std::move(*found);
  return earlier;
}

// What this proving has proved is not in force before the table says so.
std::string next_words(const ProveCommand& command, const robot::Robot& robot, const std::optional<FoundFile>& earlier,
                       const prove::Agreement& now) {
  const prove::Agreement before = agreement_on_paper(robot, earlier.value_or(FoundFile{}));
  const auto proved_before = [&before](const std::string& point) {
    return std::any_of(before.rows.begin(), before.rows.end(), [&](const prove::AgreementRow& row) {
      return row.point == point && row.verdict == prove::Verdict::proved;
    });
  };
  const bool news = std::any_of(now.rows.begin(), now.rows.end(), [&](const prove::AgreementRow& row) {
    return row.verdict == prove::Verdict::proved && !proved_before(row.point);
  });
  if (!news) return "";
  return fmt::format("next: ringout load {} --on {}\n", command.robot, command.link.on);
}

// Whether findings of this capture may be kept as this robot file's.
Result<void> capture_suits(const ProveCommand& command, const robot::Robot& robot, const Taken& taken) {
  if (!taken.known()) {
    return failure(ErrorKind::bad_input, "cli.capture-without-machine",
                   command.replay + " does not say on which machine it was taken, so its findings cannot be kept",
                   "leave out --findings to see them, or prove again");
  }
  if (taken.drawing != drawing_of(robot)) {
    return failure(ErrorKind::bad_input, "cli.capture-of-another-robot",
                   command.replay + " was taken with another robot file than " + command.robot +
                       ", or its wiring was changed since",
                   "keep its findings with the robot file that was in force then, or prove again");
  }
  return {};
}

Result<void> keep_replayed(const ProveCommand& command, const robot::Robot& robot, const Replayed& replayed,
                           ProveResult& result) {
  if (auto suits = capture_suits(command, robot, replayed.taken); !suits) return suits;
  const auto earlier = kept_of_same_machine(command.findings, replayed.taken);
  if (!earlier) return tl::unexpected(earlier.error());
  result.person = replayed.taken.person;
  std::vector<prove::Finding> findings = replayed.findings;
  if (*earlier) {  // what was proved on a later day is not put back
    std::erase_if(findings, [&](const prove::Finding& finding) {
      return found_later(**earlier, finding.point, replayed.taken.date);
    });
  }
  return keep_findings({.robot = robot,
                        .findings = findings,
                        .coded = replayed.coded,
                        .taken = replayed.taken,
                        .table_fingerprint = replayed.table_fingerprint},
                       *earlier, command.findings, result);
}

// From a capture, without a controller: the same findings as when it was taken.
Outcome replay(const ProveCommand& command, const Folders& catalogues, const Terminal& terminal) {
  const auto robot = reach::load_robot(command.robot, catalogues);
  if (!robot) return failed(robot.error());
  const auto replayed = replay_capture(command.replay, *robot);
  if (!replayed) return failed(replayed.error());
  ProveResult result;
  result.whole = replayed->taken.whole;
  result.findings = replayed->findings;
  result.agreement = prove::agree(*robot, replayed->coded, replayed->findings);
  result.corrections = prove::corrected_wiring(*robot, replayed->findings);
  result.capture = command.replay;
  const char* carried = replayed->coded ? "from the capture, with what the controller carried then\n"
                                        : "from the capture; what the controller carries is not in it\n";
  terminal.print(carried + replayed->remarks);
  if (!command.findings.empty()) {
    if (auto kept = keep_replayed(command, *robot, *replayed, result); !kept) return failed(kept.error());
  }
  result.supply = seen_supply(replayed->supply);
  show(result, terminal);
  if (!command.findings.empty()) {
    terminal.print(fmt::format("kept in {}, found on {}\n", result.found_file, replayed->taken.on));
  }
  return {status_of(result), json_prove(result), {}};
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
  return {status_of(result), json_prove(result), {}};
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
  const link::Controller& controller = bench.session->client().controller();
  Taken taken{.on = bench.link.stream->name(),
              .identity = controller.identity_text(),
              .person = bench.person_words,
              .date = today(),
              .drawing = drawing_of(bench.robot)};
  if (auto begun = record.begin(capture_path, bench.robot, controller, taken); !begun) {
    return failed(begun.error());
  }
  ProveResult result;
  result.person = bench.person_words;
  result.capture = capture_path;
  const session::Proving proving = bench.session->prove({});
  taken.whole = !proving.ended_early;
  result.whole = taken.whole;
  const bool nothing_seen = proving.evidence.bumps.empty() && proving.hands.empty();
  if (nothing_seen && proving.ended_early) {
    record.discard();
    return failed(*proving.ended_early);
  }
  const auto kept = keep_findings({.robot = bench.robot,
                                   .findings = proving.findings,
                                   .coded = proving.coded,  // as read at the start: the link may be gone by now
                                   .taken = taken,
                                   .table_fingerprint = controller.table_fingerprint},
                                  bench.found, bench.found_path, result);
  result.supply = seen_supply(proving.supply);
  show(result, terminal);
  terminal.print(kept ? fmt::format("kept in {}; capture {}\n", result.found_file, capture_path)
                      : fmt::format("capture {}\n", capture_path));
  if (kept) terminal.print(next_words(command, bench.robot, bench.found, result.agreement));
  if (proving.ended_early) {
    Error ended = *proving.ended_early;
    if (!kept) ended.message += "; and what was found is not kept: " + kept.error().message;
    return failed(ended, json_prove(result));
  }
  if (!kept) return failed(kept.error(), json_prove(result));
  if (auto whole = record.end(); !whole) return failed(whole.error(), json_prove(result));
  return {status_of(result), json_prove(result), {}};
}

}  // namespace

Outcome run(const ProveCommand& command, const Folders& catalogues, const Terminal& terminal) {
  if (!command.replay.empty()) return replay(command, catalogues, terminal);
  if (command.link.on == "none") return show_kept(command, catalogues, terminal);
  return prove_on(command, catalogues, terminal);
}

}  // namespace ringout::cli
