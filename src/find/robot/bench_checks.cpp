// What the bench makes itself in seconds.
#include <fmt/format.h>

#include <algorithm>

#include "find/robot/cautions.h"
#include "find/robot/derivation.h"
#include "find/robot/sight.h"

namespace ringout::faults {

namespace {

constexpr std::size_t most_neighbours = 12;
constexpr std::size_t most_beside = 64;

Shows if_true(bool so, Shown shown) {
  return so ? Shows{{shown, 1.0}} : Shows{};
}

Shows of_supply(Feeding feeding) {
  switch (feeding) {
    case Feeding::open:
      return {{Shown::none, 1.0}};
    case Feeding::at_times:
      return {{Shown::as_should, 0.6}, {Shown::none, 0.4}};
    case Feeding::low:
      return {{Shown::low, 1.0}};
    case Feeding::untouched:
    case Feeding::maybe_blown:
      break;
  }
  return {};
}

class BenchChecks {
 public:
  explicit BenchChecks(Derivation& d) : d_(d), robot_(d.robot) {}

  void all() {
    link();
    lights();
    simple(CheckKind::supply_at_rest, "supply at rest", {Shown::as_should, Shown::low, Shown::none},
           "The bench reads the supply at the board's terminal.", [&](const Fault& f) -> Shows {
             if (f.kind == PartKind::battery && f.mode == Mode::weak)
               return {{Shown::as_should, 0.8}, {Shown::low, 0.2}};
             return of_supply(board_feeding(robot_, f));
           });
    simple(CheckKind::firmware, "firmware", {Shown::as_should, Shown::differs},
           "The bench asks the controller which firmware it runs.",
           [](const Fault& f) { return if_true(f.kind == PartKind::firmware, Shown::differs); });
    if (d_.outputs.empty() && d_.inputs.empty()) return;
    simple(CheckKind::program_names, "program's names and kinds", {Shown::as_should, Shown::differs},
           "The bench compares the program's fingerprint with that of this robot file.",
           [](const Fault& f) { return if_true(f.kind == PartKind::program, Shown::differs); });
    simple(CheckKind::table, "point table", {Shown::as_should, Shown::differs},
           "The bench compares the table's fingerprint with that of this robot file.", [](const Fault& f) -> Shows {
             // A program of other names came with its own table, and takes no other; old firmware may take none.
             if (f.kind == PartKind::program) return {{Shown::differs, 0.9}, {Shown::as_should, 0.1}};
             if (f.kind == PartKind::firmware) return {{Shown::differs, 0.5}, {Shown::as_should, 0.5}};
             return if_true(f.kind == PartKind::table, Shown::differs);
           });
    for (const robot::Output* o : d_.outputs) record(o->name);
    for (const robot::Input* i : d_.inputs) record(i->name);
    under_load();
    for (const robot::Output* o : d_.outputs) neighbours(*o);
  }

 private:
  void link() {
    Draft draft = draft_of(CheckKind::link, nobody, {}, {Shown::as_should, Shown::silent}, "link");
    draft.instructions = "The bench says hello to the controller.";
    add_check(d_, draft, [&](const Fault& f) { return if_true(link_silent(robot_, f), Shown::silent); });
  }

  void lights() {
    if (d_.controller == Controller::answers) return;
    Draft draft = draft_of(CheckKind::look_controller, nobody, {}, {Shown::as_should, Shown::silent},
                           "look at the controller's lights");
    draft.access = &robot_.board_access;
    draft.instructions =
        "Supply on, no cable to a computer: does the controller's power light come on, and stay on while you look?";
    draft.caution = caution::starts;
    add_check(d_, draft, [&](const Fault& f) -> Shows {
      if (f.kind == PartKind::board) return {{Shown::silent, 0.7}, {Shown::as_should, 0.3}};
      const Feeding feeding = board_feeding(robot_, f);
      if (feeding == Feeding::at_times) return {{Shown::as_should, 0.6}, {Shown::silent, 0.4}};
      return if_true(feeding == Feeding::open, Shown::silent);
    });
  }

  void simple(CheckKind kind, std::string name, std::vector<Shown> outcomes, std::string instructions,
              const std::function<Shows(const Fault&)>& shows) {
    Draft draft = draft_of(kind, nobody, {}, std::move(outcomes), std::move(name));
    draft.instructions = std::move(instructions);
    add_check(d_, draft, shows);
  }

  // What was so from the start shows in an earlier proving, what came later does not.
  void record(const std::string& point) {
    Draft draft = draft_of(CheckKind::record, nobody, point, {Shown::as_should, Shown::never, Shown::differs},
                           "record of " + point);
    draft.instructions = "The bench looks up how " + point + " answered when it was last proved.";
    draft.healthy = {{Shown::as_should, 0.6}, {Shown::never, 0.38}, {Shown::differs, 0.02}};
    add_check(d_, draft, [&](const Fault& f) -> Shows {
      const auto is_it = [&](const auto* named) { return named != nullptr && named->name == point; };
      const bool mine = is_it(f.output) || is_it(f.input) || is_it(f.other_output) || is_it(f.other_input);
      const bool from_the_start = f.mode == Mode::reversed || f.mode == Mode::exchanged || f.mode == Mode::moved ||
                                  f.mode == Mode::wrong_type || f.mode == Mode::misplaced;
      if (!mine || !from_the_start) return {};
      return {{Shown::as_should, 0.4}, {Shown::never, 0.3}, {Shown::differs, 0.3}};
    });
  }

  void under_load() {
    Draft draft = draft_of(CheckKind::supply_under_load, Draft::Commands::bench, {},
                           {Shown::as_should, Shown::sags, Shown::none}, "supply under load");
    draft.instructions = "The bench loads the supply with one small bump and reads how far it falls.";
    const std::string load = d_.outputs.empty() ? "an output" : d_.outputs.front()->name;
    draft.by_hand = Draft::ByHand{
        CheckKind::meter_port,
        fmt::format(
            "Hold the meter's probes on the board's supply terminal while the program works {} or anything else "
            "that moves: do the volts stay above {:.1f} V, fall below it, or are there none?",
            load, robot_.board.supply_low.in(volts(1))),
        std::string(caution::live) + " " + caution::moves};
    add_check(d_, draft, [&](const Fault& f) -> Shows {
      if (f.kind == PartKind::battery && f.mode != Mode::dead) return {{Shown::sags, 0.9}, {Shown::as_should, 0.1}};
      const Feeding feeding = board_feeding(robot_, f);
      if (feeding == Feeding::at_times) return {{Shown::sags, 0.3}, {Shown::none, 0.3}, {Shown::as_should, 0.4}};
      return of_supply(feeding);
    });
  }

  bool complained(const robot::Output& o) const {
    return std::find(d_.outputs.begin(), d_.outputs.end(), &o) != d_.outputs.end();
  }

  // Other outputs, bumped or, without a link, worked by the program: first those that a lead may have been exchanged
  // with, then one that shares the fuse, one on another fuse, one on another bank.
  void neighbours(const robot::Output& of) {
    std::vector<const robot::Output*> chosen;
    const auto choose = [&](const robot::Output& o) {
      if (&o == &of || complained(o) || !tells(o)) return;
      if (std::find(chosen.begin(), chosen.end(), &o) == chosen.end()) chosen.push_back(&o);
    };
    for (const Fault& f : d_.faults) {
      if (f.output == &of && f.other_output != nullptr) choose(*f.other_output);
      if (f.other_output == &of && f.output != nullptr) choose(*f.output);
    }
    const auto first = [&](const std::function<bool(const robot::Output&)>& suits) {
      for (const robot::Output& o : robot_.outputs) {
        if (suits(o) && tells(o) && !complained(o)) return choose(o);
      }
    };
    const std::string& bank = robot_.port_of(of.port).bank;
    first([&](const robot::Output& o) { return o.fed_by == of.fed_by; });
    first([&](const robot::Output& o) { return o.fed_by != of.fed_by; });
    first([&](const robot::Output& o) { return robot_.port_of(o.port).bank == bank; });
    first([&](const robot::Output& o) { return robot_.port_of(o.port).bank != bank; });
    if (chosen.size() > most_neighbours) chosen.resize(most_neighbours);
    for (const robot::Output* o : chosen) neighbour(*o, of);
  }

  [[nodiscard]] bool tells(const robot::Output& o) const {
    if (d_.controller == Controller::none) return true;
    const Senses senses = senses_of(robot_, o);
    return senses.drives && (senses.any() || senses.others);
  }

  void neighbour(const robot::Output& o, const robot::Output& of) {
    if (std::find(beside_.begin(), beside_.end(), &o) != beside_.end() || beside_.size() >= most_beside) return;
    beside_.push_back(&o);
    const bool bumped = d_.controller == Controller::answers;
    Draft draft = bumped
                      ? draft_of(CheckKind::bump, Draft::Commands::bench, o.name, bump_outcomes(senses_of(robot_, o)),
                                 fmt::format("bump of {} on {}", o.name, o.port))
                      : draft_of(CheckKind::operate, Draft::Commands::program, o.name, sight_outcomes(o.kind),
                                 "have the program work " + o.name);
    if (bumped) draft.origin.protection = o.fed_by;
    draft.others = exchange_partners(d_, o.name);
    draft.path = "beside " + of.name;
    draft.instructions = bumped
                             ? fmt::format("The bench moves what is on {} a little; {} should answer.", o.port, o.name)
                             : fmt::format("Have the program work {} once and look: {}", o.name, what_to_see(o));
    draft.healthy = healthy_neighbour(draft.origin.outcomes);
    draft.draws = Draft::Draws::others_too;
    add_check(d_, draft, [&](const Fault& f) { return bumped ? bump_shows(robot_, f, o) : operated(robot_, f, o); });
  }

  static constexpr Draft::Commands nobody = Draft::Commands::nobody;

  Derivation& d_;
  const robot::Robot& robot_;
  std::vector<const robot::Output*> beside_;  // neighbours that have their check
};

}  // namespace

void add_bench_checks(Derivation& d) {
  BenchChecks(d).all();
}

}  // namespace ringout::faults
