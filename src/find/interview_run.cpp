#include "find/interview_run.h"

#include <algorithm>
#include <set>

namespace ringout::find {

namespace {

class Conversation {
 public:
  Conversation(Interview& interview, const Around& around) : interview_(interview), around_(around) {}

  Result<Ended> hold() {
    if (interview_.entries().empty()) {
      for (const Index observation : around_.at_start) {
        if (nothing_more_) break;
        if (Result<void> made = observe(observation); !made) return tl::unexpected<Error>(made.error());
      }
    }
    while (true) {
      leave_out();
      const View view = interview_.view();
      const bool bench = is_for_the_bench(view);
      around_.show(view, bench ? Around::Next::bench : Around::Next::person);
      if (view.status == Status::closed) return Ended::closed;
      const Result<void> stepped = bench ? observe(view.next->step.index) : step(view);
      if (!stepped) return tl::unexpected<Error>(stepped.error());
      if (quit_) return Ended::quit;
    }
  }

 private:
  [[nodiscard]] const Model& model() const { return interview_.model(); }

  // Made by the bench: alone, or with the person.
  [[nodiscard]] bool is_made(const View& view) const {
    return view.next && view.next->step.kind == Step::Kind::observe && around_.makes &&
           around_.makes(view.next->step.index) && !left_to_the_person_.contains(view.next->step.index);
  }
  [[nodiscard]] bool is_for_the_bench(const View& view) const {
    return is_made(view) && !(around_.together && around_.together(view.next->step.index));
  }

  // What it has just bumped something for is still hers to tell.
  void leave_out() {
    if (!around_.out_of_reach) return;
    std::vector<Index> out = around_.out_of_reach();
    std::erase_if(out, [&](Index observation) { return left_to_the_person_.contains(observation); });
    interview_.leave_out(std::move(out));
  }

  Result<void> note(const Entry& entry) {
    if (Result<void> kept = around_.keep(entry); !kept) return kept;
    interview_.add(entry);
    if (around_.repaired && std::holds_alternative<Done>(entry)) around_.repaired();
    left_to_the_person_.clear();
    return {};
  }

  Result<void> observe(Index observation) {
    const Result<Observed> made = around_.observe(observation);
    if (!made) return tl::unexpected<Error>(made.error());
    nothing_more_ = made->nothing_more;
    switch (made->how) {
      case Observed::How::seen:
        return note(Saw{observation, made->outcome, By::bench});
      case Observed::How::cannot_tell:
        return note(CouldNotTell{observation});
      case Observed::How::not_made:
        return note(PutAside{{Step::Kind::observe, observation}});
      case Observed::How::ask_the_person:
        break;
    }
    left_to_the_person_.insert(observation);
    return {};
  }

  Result<void> step(const View& view) {
    switch (view.status) {
      case Status::contradiction:
        return doubt(view);
      case Status::to_prove:
        return prove();
      case Status::to_close:
        return close(view);
      case Status::open:
      case Status::closed:
        break;
    }
    if (!view.next) return answer(ask_when_stuck(view), {}, view);
    const double cost = view.next->alternatives.front().cost;
    if (is_made(view)) return answer(ask_ready(model(), view.next->step, cost), view.next->step, view);
    return answer(ask_step(model(), view.next->step, cost), view.next->step, view);
  }

  // Asks and notes; what may be said at any time is dealt with here.
  Result<void> answer(const Ask& ask, Step step, const View& view) {
    const Result<std::string> said = around_.ask(ask);
    if (!said) return tl::unexpected<Error>(said.error());
    if (const auto common = always(*said, view)) return *common;
    if (ask.kind == Ask::Kind::ready && *said == says::go) return observe(step.index);
    // What the bench was not let begin took no time, whoever says why.
    const bool not_begun = ask.kind == Ask::Kind::ready && *said == says::cannot_tell;
    if (*said == says::not_now || not_begun) return note(PutAside{step});
    if (*said == says::cannot_tell) return note(CouldNotTell{step.index});
    if (step.kind == Step::Kind::call) return note(Called{});
    if (*said == says::right) return note(WasRight{step.index});
    if (step.kind == Step::Kind::repair) return note(Done{step.index});
    for (Index k = 0; k < model().observations[step.index].outcomes.size(); ++k) {
      if (ask.choices[k].id == *said) return note(Saw{step.index, k, By::person});
    }
    return failure(ErrorKind::bad_input, "find.no-such-answer", "\"" + *said + "\" is no answer to " + ask.id);
  }

  std::optional<Result<void>> always(const std::string& said, const View& view) {
    if (said == says::quit) {
      quit_ = true;
      return Result<void>{};
    }
    if (said == says::why) {
      if (around_.why) around_.why(view);
      return Result<void>{};
    }
    if (said == says::works) return note(Done{});
    if (said == says::back) return take_back();
    if (said == says::instead) return instead(view);
    return std::nullopt;
  }

  Result<void> instead(const View& view) {
    const Ask ask = ask_instead(model(), around_.left_out);
    const Result<std::string> said = around_.ask(ask);
    if (!said) return tl::unexpected<Error>(said.error());
    const auto is_it = [&](const Choice& c) { return c.id == *said && c.step; };
    const auto choice = std::find_if(ask.choices.begin(), ask.choices.end(), is_it);
    if (choice == ask.choices.end()) return {};  // nothing of the list
    const Step step = *choice->step;
    if (step.kind == Step::Kind::call) return note(Called{});
    if (step.kind == Step::Kind::repair) return note(Done{step.index});
    return answer(ask_step(model(), step, model().observations[step.index].cost), step, view);
  }

  Result<void> take_back() {
    const Ask ask = ask_take_back(interview_);
    const Result<std::string> said = around_.ask(ask);
    if (!said) return tl::unexpected<Error>(said.error());
    return *said == says::cancel ? Result<void>{} : take_back(*said);
  }
  Result<void> take_back(const std::string& entry) { return note(TookBack{entry_named(entry).value()}); }

  Result<void> doubt(const View& view) {
    const Result<std::string> said = around_.ask(ask_doubt(interview_, view));
    if (!said) return tl::unexpected<Error>(said.error());
    if (const auto common = always(*said, view)) return *common;
    return take_back(*said);
  }

  Result<void> prove() {
    if (around_.prove) {
      const Result<std::string> ready = around_.ask(ask_ready_for_proof());
      if (!ready) return tl::unexpected<Error>(ready.error());
      if (const auto common = always(*ready, {})) return *common;
      if (*ready == says::go) {
        const auto tried = around_.prove(proof_times);
        if (!tried) return tl::unexpected<Error>(tried.error());
        if (*tried) return note(Proof{proof_times, **tried});
      }
    }
    const Result<std::string> said = around_.ask(ask_proof());
    if (!said) return tl::unexpected<Error>(said.error());
    if (const auto common = always(*said, {})) return *common;
    return note(Proof{proof_times, *said == says::held ? Proof::Result::held : Proof::Result::failed});
  }

  Result<void> close(const View& view) {
    if (view.found_follows && !view.found.empty() && view.found.front().weight >= sure_enough)
      return note(Closed{view.found.front().faults});
    const Ask ask = ask_found(model(), view);
    const Result<std::string> said = around_.ask(ask);
    if (!said) return tl::unexpected<Error>(said.error());
    if (const auto common = always(*said, view)) return *common;
    for (const Choice& choice : ask.choices) {
      if (choice.id == *said) return note(Closed{choice.faults});
    }
    return note(Closed{});
  }

  Interview& interview_;
  const Around& around_;
  std::set<Index> left_to_the_person_;
  bool nothing_more_ = false;  // that the bench could read, by its last look
  bool quit_ = false;
};

}  // namespace

Result<Ended> hold(Interview& interview, const Around& around) {
  return Conversation(interview, around).hold();
}

}  // namespace ringout::find
