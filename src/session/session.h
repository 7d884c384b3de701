// One bench session with one controller: the only place that decides to move. It asks the person, keeps the bounds,
// holds the permission, and turns outputs off whatever happens. Results are values; nothing is printed here.
//
//   Session session({.robot = robot, .stream = stream, .person = person});
//   if (auto opened = session.open(); !opened) …
//   const Readiness readiness = session.ready(ReadyDepth::with_motion);
//   const Proving proving = session.prove({});
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "bind/point_table.h"
#include "bind/scaling.h"
#include "capture/capture.h"
#include "link/client.h"
#include "prove/agreement.h"
#include "prove/bump_plan.h"
#include "prove/hand_proof.h"
#include "prove/identify.h"
#include "robot/robot.h"
#include "session/events.h"
#include "session/person.h"

namespace ringout::session {

struct Setup {
  const robot::Robot& robot;
  link::TimedStream& stream;
  Person& person;
  Observer observe = {};
  std::uint64_t seed = 1;  // for nonces; should differ from session to session
  link::Times times = {};
  std::vector<prove::Finding> known = {};    // findings of earlier sessions that still hold
  std::optional<std::string> identity = {};  // of the controller that was here last time
};

struct Readiness {
  std::vector<ReadyStep> steps;
  std::optional<Error> ended_early;
  [[nodiscard]] bool go() const;
};

// How far go/no-go goes: readings alone, or with the disconnect and the first small load as well.
enum class ReadyDepth { readings, with_motion };

struct Loading {
  std::size_t bytes = 0;
  std::uint32_t fingerprint = 0;
  Duration took;
};

struct ProveOptions {
  prove::IdentifyOptions identify = {};  // a first proving; the random robots are judged with exactly these
  // Input names whose hand proof is to be done; empty: all.
  std::vector<std::string> only_by_hand = {};
};

// Whatever was found before something ended it early is in here.
struct Proving {
  std::optional<prove::Coded> coded;
  prove::Evidence evidence;
  std::vector<capture::HandRecord> hands;
  std::vector<prove::Finding> told;  // of points that the agent does not drive or read: what a person says of them
  std::vector<prove::Finding> findings;
  prove::SupplyFinding supply;
  prove::Agreement agreement;
  std::optional<Error> ended_early;
};

struct JogOptions {
  std::string output;
  double level = 0.1;  // fraction of the supply, sign as the robot file says
  Duration at_most = Duration::milliseconds(2000);
};
struct Jog {
  double level = 0.0;  // commanded, as JogOptions has it
  double most_level = 0.0;
  Duration driven;
  Duration at_most;      // that was allowed: for an output that is not proved less than what was asked for
  bool proved = false;   // else the bounds are those that any device of this robot bears on that port
  std::string ended_by;  // in words
  std::vector<std::string> watched = {};  // inputs that could tell of a motion
  std::vector<std::string> changed = {};  // those of them that did
};

struct RunOptions {
  Duration at_most = Duration::milliseconds(60'000);
};
struct ProgramRun {
  wire::ProgramState state = wire::ProgramState::none_loaded;
  int last_line = 0;
  std::string last_step;
  std::string ended_by;
  Duration took;
  std::optional<int> unused_stack;  // bytes that no call has touched since the reset; a chip's only
};

// One point at one moment: what is commanded, what that should give, what is measured. Absent where it has none.
struct MeterReading {
  std::string point;
  std::optional<double> commanded;  // fraction of the supply
  std::optional<double> expected;
  std::optional<double> measured;
  std::string unit;     // of expected and measured: "rad/s", "m", "V", "" for a switch (0 or 1)
  bool on_off = false;  // an output that has no way but on
};
struct Meters {
  Voltage supply;
  std::string waiting_line;  // where the program is, empty without one
  std::string differs;  // what the controller carries is not this robot file's: then points may not be what is drawn
  std::vector<MeterReading> points;
};

// The firmware that goes with this ringout; a newer minor version is taken too.
inline constexpr link::Version expected_firmware{0, 1, 0};

inline constexpr const char* other_board_remedy =
    "the firmware was built for another board file: build it with this one ('ringout build ROBOT PROGRAM --for CHIP') "
    "and write it to the controller";

class Session {
 public:
  explicit Session(Setup setup);
  ~Session();
  Session(const Session&) = delete;
  Session& operator=(const Session&) = delete;

  // Hello. Nothing moves by it; the controller keeps its outputs inhibited.
  [[nodiscard]] Result<link::Controller> open();
  [[nodiscard]] Readiness ready(ReadyDepth depth);
  // Writes the robot's point table and reads it back; nothing else is touched.
  [[nodiscard]] Result<Loading> load();
  [[nodiscard]] Proving prove(const ProveOptions& options);
  [[nodiscard]] Result<Jog> jog(const JogOptions& options);
  [[nodiscard]] Result<ProgramRun> run(const RunOptions& options);
  // Reads for as long as `go_on` says; nothing moves by it.
  [[nodiscard]] Result<void> meters(Duration period, const std::function<bool(const Meters&)>& go_on);

  // One point by itself (single.cpp). Out and back on the output's drawn port; session.no-bump where it has none that
  // can be bumped.
  [[nodiscard]] Result<std::vector<capture::BumpRecord>> bump_output(const std::string& output);
  // How often that may still be done in this session.
  [[nodiscard]] int bumps_left(const std::string& output) const;
  // The same while she watches; her answers are in the evidence.
  [[nodiscard]] Result<prove::Evidence> watch_output(const std::string& output);
  [[nodiscard]] Result<capture::HandRecord> work_input(const std::string& input);
  [[nodiscard]] Result<std::vector<capture::Sample>> samples_at_rest();

  // Names, kinds and table entries as the controller carries them.
  [[nodiscard]] Result<prove::Coded> coded();
  // The table that this robot file and the known findings ask for.
  [[nodiscard]] Result<bind::PointTable> wanted_table() const;
  [[nodiscard]] Result<void> stop() { return client_.stop(); }
  [[nodiscard]] link::Client& client() { return client_; }

 private:
  enum class SampleUse { keep, drop };
  // No credit is given for the way back, so each way has its own count.
  struct HalvesMade {
    int out = 0;
    int back = 0;
  };

  // session.cpp
  void tell(const Event& event) const;
  [[nodiscard]] Result<void> before_motion();
  [[nodiscard]] Result<void> run_control_suits() const;
  [[nodiscard]] Result<link::Permission> permission();
  [[nodiscard]] Result<void> start_samples();
  [[nodiscard]] Result<void> quiet_line();
  [[nodiscard]] Result<void> watch(Duration time);
  [[nodiscard]] Result<std::string> ask(const Question& question);
  // Waits until she says that it is done, she cannot, or `until` holds.
  [[nodiscard]] Result<Progress> act(const HandAction& action, Duration at_most, const std::function<bool()>& until);
  [[nodiscard]] std::string port_name(robot::PortKind kind, int index) const;
  [[nodiscard]] bool is_proved(const robot::Output& output) const;
  [[nodiscard]] std::vector<std::string> proved_outputs() const;
  [[nodiscard]] Result<void> check_person();
  void take(const link::Sample& sample);

  // ready.cpp, ready_inputs.cpp, ready_motion.cpp
  // What the controller has less of than the drawn board, in words; empty where it has enough of everything.
  [[nodiscard]] std::string controller_lacks() const;
  void step_done(Readiness& readiness, ReadyStep step) const;
  void ready_with_motion(Readiness& readiness);
  [[nodiscard]] Result<ReadyStep> check_supply();
  [[nodiscard]] Result<ReadyStep> check_identity();
  [[nodiscard]] Result<ReadyStep> check_firmware();
  [[nodiscard]] Result<ReadyStep> check_program();
  [[nodiscard]] Result<ReadyStep> check_table();
  [[nodiscard]] Result<ReadyStep> check_inputs();
  [[nodiscard]] Result<ReadyStep> check_disconnect();
  [[nodiscard]] Result<ReadyStep> check_first_load();
  [[nodiscard]] Result<Voltage> supply_until(const std::function<bool(Voltage)>& reached);
  [[nodiscard]] Voltage lowest_supply(std::size_t first_record) const;
  [[nodiscard]] Result<void> load_feed(const std::string& protection, ReadyStep& s);

  // load.cpp
  [[nodiscard]] Result<void> firmware_suits();
  [[nodiscard]] Result<void> table_suits();
  [[nodiscard]] Result<void> controller_suits();

  // bumping.cpp, prove.cpp, hands.cpp
  [[nodiscard]] Result<void> ask_clearances();
  [[nodiscard]] Result<void> prepare_bumps();
  [[nodiscard]] Result<capture::BumpRecord> bump_half(std::uint8_t bridge, int level_permille);
  [[nodiscard]] Result<void> watch_coasting(link::Permission& permission);
  [[nodiscard]] Result<capture::BumpRecord> bump_once(std::uint8_t bridge, int level_permille);
  [[nodiscard]] Result<void> bump_pair(std::uint8_t bridge, std::vector<capture::BumpRecord>& records);
  // Fails where a bump was ended by a supply or a bank that could not bear it: the next one would end alike.
  [[nodiscard]] Result<void> supply_bore(const capture::BumpRecord& record) const;
  [[nodiscard]] int pairs_left(std::uint8_t bridge) const;
  [[nodiscard]] Result<void> bump_all(Proving& proving);
  [[nodiscard]] Result<void> settle_questions(Proving& proving, const prove::IdentifyOptions& options);
  enum class Half { out, back };
  [[nodiscard]] Result<void> look_at(const prove::Question& question, Proving& proving);
  // Bumps one half while she watches, and asks; the answer goes into the evidence. Returns what she chose.
  [[nodiscard]] Result<prove::Choice> look_at_half(const prove::Question& question, Half half, Proving& proving);
  [[nodiscard]] Result<void> prove_by_hand(Proving& proving, const ProveOptions& options);
  [[nodiscard]] Result<void> sensors_fed();

  // turning.cpp
  [[nodiscard]] Result<void> turn_by_hand(Proving& proving, const ProveOptions& options);
  [[nodiscard]] Result<bool> supply_off_for_hands();
  [[nodiscard]] Result<void> supply_on_again();
  [[nodiscard]] Result<capture::HandRecord> turned_record(const prove::TurnRequest& request);
  [[nodiscard]] Result<int> way_turned(const prove::TurnRequest& request);

  // undriven.cpp
  [[nodiscard]] Result<void> ask_of_undriven(Proving& proving);

  // jog.cpp, run.cpp, meters.cpp
  [[nodiscard]] Result<void> bound_unproved();
  [[nodiscard]] Result<void> drive_while_held(const robot::Output& output, std::uint8_t bridge, int level, Jog& jog);
  [[nodiscard]] std::vector<std::string> could_tell(const robot::Output& output, bool proved) const;
  [[nodiscard]] Result<ProgramRun> watch_program(link::Permission& held, const RunOptions& options);
  [[nodiscard]] ProgramAt program_at(const link::AgentStatus& status) const;
  [[nodiscard]] Meters meters_from(const link::AgentStatus& status, const std::vector<capture::Sample>& samples) const;

  // single.cpp
  [[nodiscard]] Result<std::uint8_t> bridge_of(const std::string& output) const;
  // Refused where nothing more may be bumped on its port.
  [[nodiscard]] Result<std::uint8_t> bridge_with_room(const std::string& output) const;
  [[nodiscard]] Result<void> prepare_again();

  // hands.cpp
  [[nodiscard]] Result<std::vector<capture::Sample>> samples_over(Duration time);
  [[nodiscard]] Result<capture::HandRecord> hand_record(const std::string& input, const std::string& action);
  void conclude(Proving& proving, const prove::IdentifyOptions& options);

  Setup setup_;
  link::Client client_;
  prove::BumpPlan plan_;
  std::vector<capture::Sample> samples_;  // since the last clear
  SampleUse use_ = SampleUse::drop;
  std::vector<HalvesMade> halves_made_;          // per bridge, in this session
  std::vector<capture::BumpRecord> load_bumps_;  // of the first small load: they are evidence too
  bool cautions_acknowledged_ = false;
  bool disconnect_proved_ = false;  // once a session: a lead may have come off since the last one
  bool clearances_given_ = false;
};

// How the carried table differs from the one that this robot file and its proofs ask for, in words: points whose
// entries differ in something that the controller enforces, else proofs, else bounds. Empty for two alike.
[[nodiscard]] std::string table_difference(const robot::Robot& robot, const bind::PointTable& carried,
                                           const bind::PointTable& wanted);

}  // namespace ringout::session
