// The fault model of a robot, derived from its robot file and a complaint: what can be wrong on the way of each point
// that is complained of, what each check would show, what each repair mends; and where all of that comes from.
//
//   parts      each point's path (robot/path.h) as far as it bears on the complaint; shared parts are one part each, so
//              that a point which works clears what it shares
//   exchanges  one part for each pair of leads that fit each other's sockets, with the prior spread over the pairs
//   checks     those of the bench, bump of neighbours and of the exchange partners' ports among them, and a person's
//   costs      minutes; what must be opened are the model's places, from the robot file's `access`
// The engine is find/find.h; it knows nothing of robots. Costs a few milliseconds.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "find/model.h"
#include "find/robot/complaint.h"
#include "find/robot/fault_rows.h"
#include "robot/robot.h"

namespace ringout::faults {

// How a fault is given to the simulated robot: one [[deviation]] of that kind (plant/deviations.h has the names).
// `kind` empty: no simulated robot can have it.
struct Injection {
  std::string kind = {};                 // "open_wire"
  std::vector<std::string> points = {};  // the point; for an exchange both
  std::string part = {};                 // protection
  std::string port = {};                 // of the board
  std::string device = {};               // catalogue device that is really there
  std::string channel = {};              // of an encoder: "B"
  std::optional<double> amount = {};     // weak_battery: state of charge; absent: its resistance is raised
};

// What is to be changed to settle a fault.
enum class ChangeIn { robot_file, wiring, mechanics, program, controller };

struct FaultOrigin {  // of one mode of the model
  PartKind kind = PartKind::battery;
  Mode mode = Mode::open;
  std::string part;   // its name in the model, unique
  std::string point;  // the point, protection or port that it belongs to; empty: the whole robot
  std::string other;  // exchanged with
  Span at;            // in the robot file
  std::string text;   // "the lead of clamp is open"
  robot::Discipline discipline = robot::Discipline::wiring;
  std::string owner;  // the person, where the robot file names one
  ChangeIn change_in = ChangeIn::wiring;
  std::string change;  // one sentence
  std::string proof;   // the command that closes the case
  Injection injection;
  std::string source;  // of its prior
};

enum class Witness { bench, person, both };  // both: a person acts, the bench reads
enum class Moves { no, yes };

struct CheckOrigin {  // of one observation of the model
  CheckKind kind = CheckKind::link;
  Witness witness = Witness::bench;
  Moves moves = Moves::no;      // something may move by it: cautions and permission first
  std::string point;            // the point that it is about; empty: none
  std::string protection;       // the protection that it is about; empty: none
  std::vector<Shown> outcomes;  // by the observation's outcome
  // By the outcome: which point answers, of Shown::elsewhere; empty: another one than those that have an outcome.
  std::vector<std::string> where = {};

  // The outcome's index; nothing where this check cannot show it. `of`: which point answers, of Shown::elsewhere; where
  // it has no outcome of its own, the one without a name.
  [[nodiscard]] std::optional<find::Index> outcome(Shown shown, std::string_view of = {}) const;
};

struct RepairOrigin {  // of one repair of the model
  RepairKind kind = RepairKind::renew;
  PartKind part = PartKind::battery;
  std::string name;   // the part's name in the model
  std::string point;  // as FaultOrigin::point
  robot::Discipline discipline = robot::Discipline::wiring;
  std::string owner;
  std::string place;  // what is to be opened; empty: nothing
};

struct RobotModel {
  find::Model model;
  std::vector<FaultOrigin> faults;    // by mode
  std::vector<CheckOrigin> checks;    // by observation
  std::vector<RepairOrigin> repairs;  // by repair
  std::vector<std::string> notes;     // what was left out, in words

  // CheckOrigin::outcome of this observation.
  [[nodiscard]] std::optional<find::Index> outcome_of(find::Index observation, Shown shown,
                                                      std::string_view where = {}) const;
};

// Where no controller answers, a person makes what she can of the bench's checks with her eyes and a meter (witness
// person); the rest keep their witness and cannot be made.
enum class Controller { answers, none };

// The complaint's points must exist and its symptoms suit them; see complaint_problems.
[[nodiscard]] RobotModel robot_model(const robot::Robot& robot, const FaultRows& rows, const Complaint& complaint,
                                     Controller controller = Controller::answers);

// What is wrong with a complaint, in words; empty: nothing.
[[nodiscard]] std::vector<std::string> complaint_problems(const robot::Robot& robot, const Complaint& complaint);

}  // namespace ringout::faults
