#include "cli/find/conversation.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/diagnostic.h"
#include "cli/find/json.h"
#include "cli/find/kept_case.h"
#include "cli/find/text.h"
#include "os/files.h"
#include "os/interrupts.h"

namespace ringout::cli {
namespace {

class HeldCase {
 public:
  HeldCase(const CaseSetup& setup, const Terminal& terminal)
      : setup_(setup), terminal_(terminal), interview_(setup.subject.model, setup.strategy, setup.effort) {
    interview_.leave_out(setup.left_out);
  }

  Outcome run() {
    if (interview_.starts_impossible()) {
      return failed({ErrorKind::bad_input, "find.symptoms-impossible", "what is complained of cannot all be true",
                     "no fault of this model shows it; leave one symptom out"});
    }
    if (auto opened = open(); !opened) return failed(opened.error());
    const std::size_t before = interview_.entries().size();
    const auto ended = find::hold(interview_, around());
    CaseResult result{record_.path(), interview_.view(), find::Ended::quit, interview_.entries()};
    if (ended) result.ended = *ended;
    const bool closed_now = ended && *ended == find::Ended::closed && interview_.entries().size() > before;
    Result<void> learned;
    if (closed_now) learned = learn();
    say_end(ended.has_value() && *ended == find::Ended::closed);
    const std::string json = json_case(setup_.subject, result);
    Outcome out{ExitStatus::findings, json, {}};
    if (!ended) out = failed(ended.error(), json);
    if (!learned) out = failed(learned.error(), json);
    if (ended && *ended == find::Ended::closed && learned) out.status = ExitStatus::in_order;
    return out;
  }

 private:
  [[nodiscard]] const find::Model& model() const { return setup_.subject.model; }

  Result<void> open() {
    std::string note;
    if (setup_.file.kept) {
      for (find::Entry& entry : find::entries_of(*setup_.file.kept, model())) interview_.add(std::move(entry));
      if (auto opened = record_.go_on(setup_.file.path, *setup_.file.kept); !opened) return opened;
      note = taken_up();
    } else {
      if (auto begun = record_.begin(setup_.file.path, {setup_.subject.about, setup_.symptoms}); !begun) return begun;
    }
    terminal_.print(opening_text(setup_.subject) + note);
    terminal_.record(json_begin(setup_.subject, record_.path(), interview_.entries()));
    return {};
  }

  [[nodiscard]] std::string taken_up() const {
    std::string note = fmt::format("  taken up where it was left: {} entries\n", interview_.entries().size());
    if (setup_.file.kept->cut_off > 0)
      note += "  its last line was cut off while it was written, and counts for nothing\n";
    for (const find::Entry& entry : interview_.entries()) {
      if (std::holds_alternative<find::Foreign>(entry)) {
        note += "  not weighed: " + find::text_of(model(), entry) + "\n";
      } else if (!std::holds_alternative<find::TookBack>(entry)) {
        note += kept_text(model(), entry);
      }
    }
    return note;
  }

  find::Around around() {
    find::Around out;
    out.makes = setup_.bench.makes;
    out.at_start = setup_.bench.at_start;
    out.together = setup_.bench.together;
    out.left_out = setup_.left_out;
    if (setup_.bench.out_of_reach) out.out_of_reach = [this] { return out_of_reach(); };
    if (setup_.bench.observe) out.observe = [this](find::Index observation) { return observe(observation); };
    out.repaired = setup_.bench.repaired;
    if (setup_.bench.prove) out.prove = [this](int times) { return prove(times); };
    out.ask = [this](const find::Ask& ask) { return this->ask(ask); };
    out.keep = [this](const find::Entry& entry) { return keep(entry); };
    out.show = [this](const find::View& view, find::Around::Next next) { show(view, next); };
    out.why = [this](const find::View& view) { terminal_.print(why_text(setup_.subject, view)); };
    return out;
  }

  [[nodiscard]] std::vector<find::Index> out_of_reach() const {
    std::vector<find::Index> out = setup_.bench.out_of_reach();
    out.insert(out.end(), setup_.left_out.begin(), setup_.left_out.end());
    return out;
  }

  void show(const find::View& view, find::Around::Next next) {
    terminal_.record(json_now(setup_.subject, view, interview_.entries()));
    view_ = view;
    if (next == find::Around::Next::bench) return;
    const bool news = view.diagnosis && view.diagnosis->faults != told_;
    if (news) {
      terminal_.print(diagnosis_text(setup_.subject, view, interview_.entries(), terminal_.colour()));
      told_ = view.diagnosis->faults;
    }
    if (view.status == find::Status::closed) return;
    terminal_.print(suspects_text(setup_.subject, view, terminal_.colour()));
    terminal_.print(doubts_text(model(), view, interview_.entries(), terminal_.colour()));
  }

  // The same question as any other of the bench: the person is a terminal, a file or simulated.
  Result<std::string> ask(find::Ask ask) {
    for (find::Choice& choice : ask.choices) {
      if (!choice.faults.empty()) choice.text = faults_text(setup_.subject, choice.faults);
    }
    if (os::interrupted())
      return failure(ErrorKind::interrupted, "session.interrupted", "interrupted; the case is kept");
    terminal_.print(ask_text(ask, terminal_.colour()));
    terminal_.record(json_ask(ask));
    session::Question question{.id = ask.id, .topic = session::Topic::step, .text = ask.text, .choices = {}};
    const bool next = ask.kind == find::Ask::Kind::check && view_.next && view_.next->step == ask.step;
    const bool repair = ask.kind == find::Ask::Kind::repair && view_.next && view_.next->step == ask.step;
    for (std::size_t i = 0; i < ask.choices.size(); ++i) {
      session::Choice choice{ask.choices[i].id, ask.choices[i].text, ask.choices[i].key};
      for (const find::Reading& reading : view_.readings) {
        if (next && reading.outcome == i && choice.key == 0)
          choice.text += "\n      " + wrapped(reading_text(setup_.subject, reading), 70, 6);
      }
      if (repair && i == 0 && !view_.readings.empty() && view_.readings.front().outcome == 0)
        choice.text += fmt::format(" ({} that it works then)", chance_text(view_.readings.front().chance));
      question.choices.push_back(std::move(choice));
    }
    Result<std::string> said = setup_.person.choose(question);
    if (!said && said.error().kind == ErrorKind::interrupted) said.error().message += "; the case is kept";
    return said;
  }

  Result<find::Observed> observe(find::Index observation) {
    terminal_.print(bench_text(model(), observation));
    auto made = setup_.bench.observe(observation);
    if (made && !made->words.empty()) terminal_.print("       " + wrapped(made->words, 71, 7) + "\n");
    return made;
  }

  Result<std::optional<find::Proof::Result>> prove(int times) {
    terminal_.print("bench  tries what was mended\n");
    auto tried = setup_.bench.prove(times);
    if (tried) terminal_.print(tried_text(*tried));
    return tried;
  }

  Result<void> keep(const find::Entry& entry) {
    if (auto kept = record_.add(find::line_text(model(), entry)); !kept) return kept;
    const auto* saw = std::get_if<find::Saw>(&entry);
    const bool by_bench = saw != nullptr && saw->by == find::By::bench;
    if (by_bench || std::holds_alternative<find::TookBack>(entry))
      terminal_.print(entry_text(model(), entry, interview_.entries()));
    terminal_.record(json_entry(model(), entry, interview_.entries()));
    return {};
  }

  Result<void> learn() {
    const auto closed = interview_.closed();
    if (!closed) {
      terminal_.print("\nNobody knows what it was, so the history learns nothing from it.\n");
      return {};
    }
    auto history = read_history_file(setup_.history);
    if (!history) return tl::unexpected(history.error());
    find::record(*history, model(), {closed->found, interview_.answers()});
    if (auto written = write_history_file(setup_.history, *history); !written) return written;
    terminal_.print(fmt::format("\nClosed. The team's history holds {:g} case{} now ({}).\n", history->cases,
                                history->cases == 1 ? "" : "s", setup_.history));
    return {};
  }

  void say_end(bool closed) const {
    terminal_.print(closed ? fmt::format("kept in {}\n", record_.path())
                           : fmt::format("\nkept in {}; go on with it by --resume\n", record_.path()));
  }

  const CaseSetup& setup_;
  const Terminal& terminal_;
  find::Interview interview_;
  CaseRecord record_;
  find::View view_;
  find::FaultSet told_;
};

}  // namespace

Result<CaseFile> case_file(const FindCommand& command, const std::string& beside_file, const std::string& about) {
  if (!command.resume) {
    auto path = command.kept.empty() ? new_case_path(beside_file) : given_case_path(command.kept);
    if (!path) return tl::unexpected(path.error());
    return CaseFile{*std::move(path), std::nullopt};
  }
  const Result<std::string> newest = command.kept.empty() ? newest_open_case(beside_file) : command.kept;
  if (!newest) return tl::unexpected(newest.error());
  const std::string& path = *newest;
  if (path.empty()) {
    return failure(ErrorKind::bad_input, "find.no-open-case", "there is no open case beside " + beside_file,
                   "begin one without --resume, or name one: --case FILE --resume");
  }
  auto kept = read_case_file(path);
  if (!kept) return tl::unexpected(kept.error());
  if (kept->head.about != about) {
    return failure(ErrorKind::bad_input, "find.case-of-another",
                   kept->head.about.empty() ? path + " was cut off before anything stood in it"
                                            : path + " is a case of " + kept->head.about + ", and this is " + about,
                   "name the case with --case, or begin a new one without --resume");
  }
  return CaseFile{path, *std::move(kept)};
}

std::optional<Duration> patience_of(const FindCommand& command) {
  constexpr double of_a_person = 0.05;  // seconds
  if (command.seconds) return Duration::seconds(*command.seconds);
  return command.link.answers ? std::nullopt : std::optional(Duration::seconds(of_a_person));
}

Result<find::StrategyKind> strategy_of(const std::string& name) {
  if (const auto kind = find::strategy_named(name)) return *kind;
  std::string all;
  for (int k = 0; k <= static_cast<int>(find::StrategyKind::best); ++k)
    all += (k == 0 ? "" : ", ") + std::string(find::name_of(static_cast<find::StrategyKind>(k)));
  return failure(ErrorKind::bad_input, "find.no-such-strategy", "there is no strategy " + name, "it is one of " + all);
}

Outcome hold_case(const CaseSetup& setup, const Terminal& terminal) {
  return HeldCase(setup, terminal).run();
}

}  // namespace ringout::cli
