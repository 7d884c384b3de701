#include "session/session.h"

#include <algorithm>
#include <utility>

#include "session/cautions.h"

namespace ringout::session {
namespace {

// How often the person is looked at while the session waits for her.
constexpr Duration glance = Duration::milliseconds(20);
constexpr Duration run_control_wait = Duration::milliseconds(60'000);
// A run control that was held all along is seen to be held within this.
constexpr Duration seen_held = Duration::milliseconds(250);

// Whether the agreement would call this point proved, the program left aside.
bool answers_as_drawn(const std::vector<prove::Finding>& known, const std::string& point, const std::string& port) {
  return std::any_of(known.begin(), known.end(), [&](const prove::Finding& finding) {
    return finding.point == point && finding.found_port == port && finding.condition == prove::Condition::answers &&
           finding.sign == prove::Sign::as_drawn && finding.confidence >= prove::sure_enough;
  });
}

}  // namespace

const char* name_of(StepVerdict verdict) {
  switch (verdict) {
    case StepVerdict::good:
      return "good";
    case StepVerdict::bad:
      return "bad";
    case StepVerdict::not_done:
      return "not done";
  }
  return "?";
}

Session::Session(Setup setup)
    : setup_(std::move(setup)),
      client_(setup_.stream, setup_.seed, setup_.times),
      plan_(prove::plan_bumps(setup_.robot)),
      halves_made_(wire::max_bridges) {
  client_.on_sample = [this](const link::Sample& sample) { take(sample); };
}

Session::~Session() = default;

void Session::tell(const Event& event) const {
  if (setup_.observe) setup_.observe(event);
}

Result<link::Controller> Session::open() {
  Result<link::Controller> controller = client_.hello();
  if (controller) tell(Opened{.controller = *controller, .where = setup_.stream.name()});
  return controller;
}

void Session::take(const link::Sample& sample) {
  if (use_ == SampleUse::drop) return;
  capture::Sample kept;
  kept.clock_us = sample.clock_us;
  kept.levels_permille = sample.levels_permille;
  kept.encoders = sample.encoders;
  kept.switches = sample.switches;
  kept.adc = sample.adc;
  kept.state = static_cast<std::uint8_t>(sample.state);
  kept.lost_before = sample.lost_before;
  samples_.push_back(std::move(kept));
}

// Samples as often as the line carries them with room to spare, at most every 2 ms.
Result<void> Session::start_samples() {
  const link::Controller& c = client_.controller();
  const int bytes = 16 + 2 * (c.bridges + c.encoders + 1 + c.adc_channels);
  const double line_ms = bytes * 10.0 * 1000.0 / setup_.robot.board.line_rate_baud / 0.6;
  const auto period_ms = std::max<std::int64_t>(2, static_cast<std::int64_t>(line_ms + 1.0));
  samples_.clear();
  use_ = SampleUse::keep;
  return client_.stream_samples(Duration::milliseconds(period_ms));
}

Result<void> Session::quiet_line() {
  use_ = SampleUse::drop;
  return client_.stream_samples(Duration{});
}

Result<void> Session::watch(Duration time) {
  return client_.run_until(client_.now() + time);
}

Result<void> Session::check_person() {
  if (!setup_.person.wants_to_end()) return {};
  static_cast<void>(client_.stop());
  tell(StoppedAll{.why = "interrupted by the person"});
  return failure(ErrorKind::interrupted, "session.interrupted", "interrupted; outputs are off",
                 "what was found until now is kept");
}

Result<std::string> Session::ask(const Question& question) {
  if (Result<void> quiet = quiet_line(); !quiet) return tl::unexpected<Error>(quiet.error());
  return setup_.person.choose(question);
}

Result<Progress> Session::act(const HandAction& action, Duration at_most, const std::function<bool()>& until) {
  if (Result<void> begun = setup_.person.begin(action); !begun) return tl::unexpected<Error>(begun.error());
  const Instant deadline = client_.now() + at_most;
  while (client_.now() < deadline) {
    if (Result<void> person = check_person(); !person) return tl::unexpected<Error>(person.error());
    const Progress progress = setup_.person.progress(action);
    if (progress != Progress::waiting) return progress;
    if (Result<void> watched = watch(glance); !watched) return tl::unexpected<Error>(watched.error());
    if (until && until()) return Progress::done;
  }
  return Progress::cannot;
}

Result<void> Session::run_control_suits() const {
  const bool hardware = setup_.stream.kind() == link::StreamKind::hardware;
  if (!hardware || setup_.person.run_control() == RunControl::hold_to_run) return {};
  return failure(
      ErrorKind::bad_input, "session.hold-to-run-needed",
      "motion on real hardware needs a hold-to-run control; an acknowledgement or a file of answers is not one",
      "run it in a terminal and hold the run key; answer by file on the twin or the emulated controller only");
}

Result<void> Session::before_motion() {
  if (Result<void> suits = run_control_suits(); !suits) return suits;
  if (!cautions_acknowledged_) {
    if (Result<void> read = setup_.person.acknowledge(cautions(setup_.robot)); !read) return read;
    cautions_acknowledged_ = true;
  }
  if (disconnect_proved_) return {};
  const Result<ReadyStep> step = check_disconnect();
  if (!step) return tl::unexpected<Error>(step.error());
  tell(*step);
  if (step->verdict == StepVerdict::good) return {};
  return failure(ErrorKind::stopped, "session.disconnect-not-proved",
                 "the supply disconnect is not proved (" + step->reading + "), so nothing moves", step->remedy);
}

Result<link::Permission> Session::permission() {
  const auto wanted = [this] {
    return setup_.person.holding() && !setup_.person.wants_to_end() ? link::Wanted::go_on : link::Wanted::let_go;
  };
  const Instant begin = client_.now();
  const Instant deadline = begin + run_control_wait;
  bool told = false;
  while (!setup_.person.holding()) {
    if (Result<void> person = check_person(); !person) return tl::unexpected<Error>(person.error());
    if (!told && client_.now() >= begin + seen_held) {
      tell(Notice{"hold the run control"});
      told = true;
    }
    if (client_.now() >= deadline) {
      return failure(ErrorKind::stopped, "session.run-control-not-held",
                     "the run control was not held, so nothing moved", "hold it until the motion is over");
    }
    if (Result<void> watched = watch(glance); !watched) return tl::unexpected<Error>(watched.error());
  }
  if (Result<void> person = check_person(); !person) return tl::unexpected<Error>(person.error());
  return client_.permit(wanted);
}

std::string Session::port_name(robot::PortKind kind, int index) const {
  for (const robot::BoardPort& port : setup_.robot.board.ports) {
    if (port.kind == kind && port.index == index) return port.name;
  }
  return "port " + std::to_string(index);
}

// A mechanism whose end switches are not proved must not travel, so its output does not count as proved without them.
// What was found on another controller proves nothing on this one: its plugs were put in anew.
bool Session::is_proved(const robot::Output& output) const {
  if (setup_.identity && client_.controller().identity_text() != *setup_.identity) return false;
  if (!answers_as_drawn(setup_.known, output.name, output.port)) return false;
  for (const auto& end : {output.low_switch, output.high_switch}) {
    if (!end) continue;
    const robot::Input* input = setup_.robot.input(*end);
    if (!input || !answers_as_drawn(setup_.known, input->name, input->port)) return false;
  }
  const robot::Input* sensor = bind::travel_sensor_of(setup_.robot, output);
  return !sensor || answers_as_drawn(setup_.known, sensor->name, sensor->port);
}

std::vector<std::string> Session::proved_outputs() const {
  std::vector<std::string> names;
  for (const robot::Output& output : setup_.robot.outputs) {
    if (is_proved(output)) names.push_back(output.name);
  }
  return names;
}

Result<bind::PointTable> Session::wanted_table() const {
  const prove::UnprovedBounds bounds = plan_.bounds();
  return bind::point_table(setup_.robot,
                           {.max_level_permille = bounds.max_level_permille,
                            .max_duration_ms = bounds.max_duration_ms,
                            .max_slope_permille_per_ms = bounds.max_slope_permille_per_ms},
                           proved_outputs());
}

}  // namespace ringout::session
