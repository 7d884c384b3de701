// One output, moved by a person who holds the run control.
#include <algorithm>
#include <cmath>

#include "link/words.h"
#include "session/session.h"

namespace ringout::session {
namespace {

constexpr Duration coasting = Duration::milliseconds(200);
constexpr int counts_moved = 2;        // of an encoder: one edge may be only its chatter
constexpr double share_moved = 0.005;  // of an analogue input's full scale: above its noise

double mean_of(const std::vector<capture::Sample>& samples, std::size_t first, std::size_t count,
               std::uint8_t channel) {
  double sum = 0.0;
  for (std::size_t i = first; i < first + count; ++i) sum += samples[i].adc.at(channel);
  return sum / static_cast<double>(count);
}

bool has_changed(const robot::Robot& robot, const robot::Input& input, const std::vector<capture::Sample>& samples) {
  const robot::BoardPort& port = robot.port_of(input.port);
  if (input.kind == robot::PointKind::analogue) {
    if (!port.adc_channel) return false;
    const std::size_t some = std::min<std::size_t>(5, samples.size());
    const double moved =
        mean_of(samples, samples.size() - some, some, *port.adc_channel) - mean_of(samples, 0, some, *port.adc_channel);
    return std::abs(moved) > share_moved * std::exp2(robot.board.adc_bits);
  }
  return std::any_of(samples.begin(), samples.end(), [&](const capture::Sample& sample) {
    if (input.kind == robot::PointKind::encoder) {
      return std::abs(sample.encoders.at(port.index) - samples.front().encoders.at(port.index)) > counts_moved;
    }
    return (((sample.switches ^ samples.front().switches) >> port.index) & 1U) != 0;
  });
}

}  // namespace

Result<Jog> Session::jog(const JogOptions& options) {
  const robot::Output* output = setup_.robot.output(options.output);
  if (!output) {
    return failure(ErrorKind::bad_input, "session.no-such-output", "there is no output '" + options.output + "'",
                   "the robot file names the outputs");
  }
  if (output->kind != robot::PointKind::bridge_motor && output->kind != robot::PointKind::on_off) {
    return failure(
        ErrorKind::bad_input, "session.cannot-jog",
        "'" + output->name + "' is a " + robot::name_of(output->kind) + ", which the controller does not drive",
        "run the team's program, or its own tester, and look; 'prove' asks what was seen");
  }
  if (output->kind == robot::PointKind::on_off && options.level < 0.0) {
    return failure(ErrorKind::bad_input, "session.no-such-way", "'" + output->name + "' has no way but on",
                   "give a level above 0");
  }
  const bool proved = is_proved(*output);
  const int most_permille =
      proved ? static_cast<int>(std::lround(output->max_level * 1000.0)) : plan_.bounds().max_level_permille;
  Jog jog{.level = options.level,
          .most_level = most_permille / 1000.0,
          .driven = {},
          .at_most = options.at_most,
          .proved = proved,
          .ended_by = {}};
  if (!proved) jog.at_most = std::min(options.at_most, Duration::milliseconds(plan_.bounds().max_duration_ms));
  int level = static_cast<int>(std::lround(options.level * 1000.0));
  if (std::abs(level) > most_permille) {
    return failure(ErrorKind::bad_input, "session.level-above-bound",
                   "'" + output->name + "' may be driven with at most " + std::to_string(most_permille / 10) + " %" +
                       (proved ? "" : " while it is not proved"),
                   proved ? "max_level in the robot file says so" : "prove it first");
  }
  if (!plan_.conflicts.empty() && !proved) {
    return failure(ErrorKind::refused, "session.no-safe-bump",
                   "'" + output->name + "' is not proved, and no motion is safe for every device of this robot: " +
                       plan_.conflicts.front(),
                   "state more clearance in the robot file and provide it, or lower max_level");
  }
  const robot::BoardPort& port = setup_.robot.port_of(output->port);
  if (output->reversed) level = -level;
  if (Result<void> suits = controller_suits(); !suits) return tl::unexpected<Error>(suits.error());
  if (Result<void> ready = before_motion(); !ready) return tl::unexpected<Error>(ready.error());
  if (!proved) {
    if (Result<void> room = ask_clearances(); !room) return tl::unexpected<Error>(room.error());
    HalvesMade& made = halves_made_.at(port.index);
    int& way = level > 0 ? made.out : made.back;
    if (way >= plan_.pairs_allowed) {
      return failure(ErrorKind::refused, "session.no-room-left",
                     "'" + output->name + "' has used the room that is safe before it is proved",
                     "bring every mechanism back to the middle of its travel and start anew, or prove it");
    }
    ++way;
  }
  if (Result<void> driven = drive_while_held(*output, port.index, level, jog); !driven) {
    return tl::unexpected<Error>(driven.error());
  }
  return jog;
}

// Inputs that can tell of a motion: until the port is proved, whatever moves may be sensed by any of them.
std::vector<std::string> Session::could_tell(const robot::Output& output, bool proved) const {
  std::vector<std::string> names;
  for (const robot::Input& input : setup_.robot.inputs) {
    const bool of_motion = input.senses == robot::SensesWhat::output_motion ||
                           input.senses == robot::SensesWhat::travel_low_end ||
                           input.senses == robot::SensesWhat::travel_high_end;
    if (of_motion && (!proved || input.senses_output == output.name)) names.push_back(input.name);
  }
  return names;
}

Result<void> Session::drive_while_held(const robot::Output& output, std::uint8_t bridge, int level, Jog& jog) {
  jog.watched = could_tell(output, jog.proved);
  if (Result<void> started = start_samples(); !started) return started;
  Result<link::Permission> held = permission();
  if (!held) return tl::unexpected<Error>(held.error());
  samples_.clear();
  tell(Jogging{.output = output.name, .level = jog.level, .on_off = output.kind == robot::PointKind::on_off});
  const Instant begin = client_.now();
  Result<void> moved = held->drive(bridge, level);
  while (moved && !client_.output_stopped() && client_.now() < begin + jog.at_most) {
    moved = held->wait_until(std::min(begin + jog.at_most, client_.now() + Duration::milliseconds(10)));
  }
  jog.driven = client_.now() - begin;
  jog.ended_by = client_.output_stopped() ? link::words_for(client_.output_stopped()->cause)
                 : moved                  ? "its time was over"
                                          : moved.error().message;
  if (moved) {
    if (Result<void> released = held->release(); !released) return released;
  } else {
    // Closed streams and refusals are errors; letting go or an end reached is how a jog ends.
    const bool ended = moved.error().id == "link.let-go" || moved.error().id == "link.stopped";
    if (Result<void> stopped = client_.stop(); !stopped) return stopped;
    if (Result<void> person = check_person(); !person) return person;
    if (!ended) return moved;
  }
  if (Result<void> coasted = watch(coasting); !coasted) return coasted;
  for (const std::string& name : jog.watched) {
    if (!samples_.empty() && has_changed(setup_.robot, *setup_.robot.input(name), samples_)) {
      jog.changed.push_back(name);
    }
  }
  samples_.clear();
  return quiet_line();
}

}  // namespace ringout::session
