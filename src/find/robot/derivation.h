// What the files of this folder share while they put a robot's fault model together; robot_model.h is the door.
#pragma once

#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "find/robot/robot_model.h"

namespace ringout::faults {

// A mode of the model with what it takes to tell what it shows.
struct Fault {
  PartKind kind = PartKind::battery;
  Mode mode = Mode::open;
  const robot::Output* output = nullptr;          // whose own part it is
  const robot::Input* input = nullptr;            // likewise
  const robot::Protection* protection = nullptr;  // it, or its supply wire; null for the battery's wire
  std::string bank = {};
  const robot::Output* other_output = nullptr;  // exchanged with
  const robot::Input* other_input = nullptr;
  std::vector<std::string> spare_ports = {};  // moved to one of these
  bool board_wire = false;                    // the wire to the board's own supply terminal
  bool battery_wire = false;
};

struct Likely {
  Shown shown = Shown::as_should;
  double weight = 1.0;
  // Shown::elsewhere: the point that answers instead; empty: none of those that the check tells apart.
  std::string_view where = {};
};
// As Likely::where: nobody knows which.
inline constexpr std::string_view anywhere = "*";
// What a check shows of a fault, weights relative to each other; empty: it does not see it.
using Shows = std::vector<Likely>;

struct Derivation {
  const robot::Robot& robot;
  const FaultRows& rows;
  const Complaint& complaint;
  RobotModel out;
  std::vector<Fault> faults;                  // by mode
  std::vector<const robot::Output*> outputs;  // complained of, in the complaint's order
  std::vector<const robot::Input*> inputs;
  bool whole_robot = false;
  std::map<std::string, find::Index> places;
  Controller controller = Controller::answers;

  // The model's place for an access; nothing where it costs nothing to reach, or where the model has no room for more
  // (then `extra` is what it costs each time).
  struct Reached {
    std::optional<find::Index> place;
    double extra = 0.0;
  };
  [[nodiscard]] Reached reach(const robot::Access& access);
};

// parts.cpp
void add_parts(Derivation& d);

// A check about to be added; effects are asked of every fault.
struct Draft {
  CheckOrigin origin;
  std::string name;
  std::string path;
  const robot::Access* access = nullptr;
  // Where nothing that it sees is wrong; empty: by the row's false alarms.
  Shows healthy = {};
  // others_too: parts that the model does not have can spoil it as well, so that `healthy` always draws too.
  enum class Draws { own, others_too } draws = Draws::own;
  // Who commands a motion: the bench moves nothing while the controller carries another table.
  enum class Commands { nobody, bench, program } commands = Commands::nobody;
  // Points that are told apart where something else answers; outcomes of their own.
  std::vector<std::string> others = {};
  std::string instructions;
  std::string caution;
  // What a person does instead where no controller answers, in the time of a check of the kind `like`; without it, such
  // a check of the bench is made by nobody then.
  struct ByHand {
    CheckKind like = CheckKind::operate;
    std::string instructions;
    std::string caution;
  };
  std::optional<ByHand> by_hand = {};
};
// With witness, and the caution that belongs to all of that sort: supply off, or that something moves.
[[nodiscard]] Draft draft_of(CheckKind kind, Draft::Commands commands, std::string point, std::vector<Shown> outcomes,
                             std::string name);
// Those that the point may have been exchanged with, likeliest first: a check names as many of them as its outcomes
// have room for.
[[nodiscard]] std::vector<std::string> exchange_partners(const Derivation& d, const std::string& point);
// What a neighbour's bump or sensor shows where nothing that is shared is wrong: now and then its own parts are.
[[nodiscard]] Shows healthy_neighbour(const std::vector<Shown>& outcomes);
// Left out where it sees no fault; its index else.
std::optional<find::Index> add_check(Derivation& d, Draft draft, const std::function<Shows(const Fault&)>& shows);

// complaint_check.cpp, bench_checks.cpp, output_checks.cpp, input_checks.cpp, supply_checks.cpp
void add_complaint(Derivation& d);
void add_bench_checks(Derivation& d);
void add_output_checks(Derivation& d);
void add_input_checks(Derivation& d);
void add_supply_checks(Derivation& d);
// repairs.cpp
void add_repairs(Derivation& d);
// origins.cpp: the sentences about one fault
[[nodiscard]] FaultOrigin origin_of(const Derivation& d, const Fault& fault, const std::string& part);

// injections.cpp
[[nodiscard]] Injection injection_of(const robot::Robot& robot, const Fault& fault);

// The docs/fixed_order.md line of a kind of check.
[[nodiscard]] int line_of(CheckKind kind);
[[nodiscard]] Witness witness_of(CheckKind kind);
// Whether the controller must answer for it; where it does not, that is what it shows (Shown::no_link).
[[nodiscard]] bool needs_link(CheckKind kind);

}  // namespace ringout::faults
