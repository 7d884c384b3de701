// One output, moved by a person who holds the run control.
#include <algorithm>
#include <cmath>

#include "link/words.h"
#include "session/session.h"

namespace ringout::session {

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
        "prove it by hand");
  }
  const bool proved = is_proved(*output);
  const int most_permille =
      proved ? static_cast<int>(std::lround(output->max_level * 1000.0)) : plan_.bounds().max_level_permille;
  const Duration at_most =
      proved ? options.at_most : std::min(options.at_most, Duration::milliseconds(plan_.bounds().max_duration_ms));
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
  if (Result<void> suits = table_suits(); !suits) return tl::unexpected<Error>(suits.error());
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
  return drive_while_held(*output, port.index, level, at_most);
}

Result<Jog> Session::drive_while_held(const robot::Output& output, std::uint8_t bridge, int level, Duration at_most) {
  Result<link::Permission> held = permission();
  if (!held) return tl::unexpected<Error>(held.error());
  tell(Jogging{.output = output.name, .level = level / 1000.0 * (output.reversed ? -1.0 : 1.0)});
  Jog jog;
  const Instant begin = client_.now();
  Result<void> moved = held->drive(bridge, level);
  while (moved && !client_.output_stopped() && client_.now() < begin + at_most) {
    moved = held->wait_until(std::min(begin + at_most, client_.now() + Duration::milliseconds(10)));
  }
  jog.moved = client_.now() - begin;
  jog.ended_by = client_.output_stopped() ? link::words_for(client_.output_stopped()->cause)
                 : moved                  ? "its time was over"
                                          : moved.error().message;
  if (moved) {
    if (Result<void> released = held->release(); !released) return tl::unexpected<Error>(released.error());
    return jog;
  }
  // Closed streams and refusals are errors; letting go or an end reached is how a jog ends.
  const bool ended = moved.error().id == "link.let-go" || moved.error().id == "link.stopped";
  if (Result<void> stopped = client_.stop(); !stopped) return tl::unexpected<Error>(stopped.error());
  if (Result<void> person = check_person(); !person) return tl::unexpected<Error>(person.error());
  if (!ended) return tl::unexpected<Error>(moved.error());
  return jog;
}

}  // namespace ringout::session
