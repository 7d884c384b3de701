#include "link/words.h"

namespace ringout::link {
namespace {

std::string bound_name(std::uint16_t detail) {
  switch (static_cast<wire::Bound>(detail)) {
    case wire::Bound::level:
      return "its level is above the bound";
    case wire::Bound::duration:
      return "it would last longer than the bound";
    case wire::Bound::slope:
      return "it would rise faster than the bound";
    case wire::Bound::life:
      return "it would stay valid for too long";
    case wire::Bound::offset:
    case wire::Bound::length:
      return "it does not fit the table";
    case wire::Bound::period:
      return "the period is not possible";
    case wire::Bound::none:
      break;
  }
  return "it is out of bounds (" + std::to_string(detail) + ")";
}

// What a status means for a person: stable id, why, and the way out.
struct Words {
  const char* id;
  const char* why;
  const char* hint;
};

Words words_for(wire::Status status) {
  using wire::Status;
  switch (status) {
    case Status::unknown_type:
    case Status::not_supported:
      return {"link.not-supported", "this firmware cannot do it", "build and load the firmware of this version"};
    case Status::too_short:
      return {"link.too-short", "it expects a newer message", "use the ringout of the firmware's version"};
    case Status::no_permission:
    case Status::wrong_token:
      return {"link.no-permission", "the permission to move has ended", "start the motion again"};
    case Status::old_sequence:
      return {"link.old-sequence", "an older command came after a newer one", "start the motion again"};
    case Status::too_late:
      return {"link.too-late", "the command came too late over this line", "use a direct cable and a port of its own"};
    case Status::no_such_port:
      return {"link.no-such-port", "the controller has no such port or point", "compare the board file with the board"};
    case Status::busy:
      return {"link.busy", "the controller was busy for too long", "wait a moment and try again"};
    case Status::table_refused_names:
      return {"link.table-other-names", "the program was built against other names or kinds",
              "bind again, build the program and write it to the controller"};
    case Status::table_refused_board:
      return {"link.table-other-board", "the firmware was built for another board file",
              "build the firmware with this board file"};
    case Status::table_refused_check:
      return {"link.table-damaged", "the table arrived damaged, or the controller's memory is worn",
              "load it again; if it happens often look at the cable, then try another controller"};
    case Status::table_refused_version:
      return {"link.table-version", "the firmware knows another table layout",
              "build and load the firmware of this version"};
    case Status::table_refused_content:
      return {"link.table-content", "an entry of the table contradicts the board",
              "check the robot file, then bind again"};
    case Status::inhibited:
      return {"link.inhibited", "outputs cannot be permitted now", "see the state with 'ready'"};
    case Status::faults_latched:
      return {"link.faults-latched", "a fault is latched", "find its cause, clear it, and go through 'ready'"};
    case Status::no_table:
      return {"link.no-table", "there is no valid point table on the controller", "load the table with 'load'"};
    case Status::moving:
      return {"link.moving", "outputs are on", "stop first"};
    case Status::end_reached:
      return {"link.end-reached", "the mechanism stands at that end of its travel", "move it the other way"};
    case Status::ok:
    case Status::out_of_bounds:
      break;
  }
  return {"link.refused", "it gave a reason that this version does not know",
          "use the ringout of the firmware's version"};
}

}  // namespace

std::string words_for(wire::StopCause cause) {
  using wire::StopCause;
  switch (cause) {
    case StopCause::none:
      return "no cause was given";
    case StopCause::host_stop:
      return "the host said stop";
    case StopCause::hold_lapsed:
      return "nothing was heard from the host in time";
    case StopCause::released:
      return "the permission was given back";
    case StopCause::supply_low:
      return "the supply fell below the board's limit";
    case StopCause::end_switch:
      return "an end switch acted";
    case StopCause::travel_bound:
      return "the bound of its travel was reached";
    case StopCause::duration_over:
      return "its time was over";
    case StopCause::late_frame:
      return "a command came too late";
    case StopCause::watchdog:
      return "the controller's watchdog";
    case StopCause::table_changed:
      return "the point table was changed";
    case StopCause::program_ended:
      return "the program ended";
    case StopCause::program_stopped:
      return "the program was stopped";
    case StopCause::bank_current:
      return "a bank's current was above its limit";
    case StopCause::bug:
      return "what the firmware holds in memory contradicts itself";
    case StopCause::hello:
      return "the link was opened anew";
    case StopCause::after_reset:
      return "the controller was reset";
  }
  return "a cause that this version does not know (" + std::to_string(static_cast<int>(cause)) + ")";
}

std::string words_for(wire::ResetCause cause) {
  switch (cause) {
    case wire::ResetCause::power_on:
      return "power on";
    case wire::ResetCause::external:
      return "reset line";
    case wire::ResetCause::brown_out:
      return "supply too low";
    case wire::ResetCause::watchdog:
      return "watchdog";
    case wire::ResetCause::debug:
      return "debugger";
    case wire::ResetCause::unknown:
      break;
  }
  return "unknown";
}

const char* name_of(wire::ProgramState state) {
  switch (state) {
    case wire::ProgramState::none_loaded:
      return "none";
    case wire::ProgramState::ready:
      return "ready";
    case wire::ProgramState::running:
      return "running";
    case wire::ProgramState::ended:
      return "ended";
    case wire::ProgramState::stopped:
      return "stopped";
  }
  return "unknown";
}

std::string words_for_faults(std::uint32_t faults) {
  static constexpr struct {
    std::uint32_t bit;
    const char* words;
  } all[] = {{wire::fault_supply_low, "supply was too low"},
             {wire::fault_bank_current, "bank current was above its limit"},
             {wire::fault_watchdog, "watchdog reset"},
             {wire::fault_brown_out, "brown-out reset"},
             {wire::fault_receive_overrun, "bytes were lost on the line"},
             {wire::fault_eeprom, "a stored table was damaged"},
             {wire::fault_bug, "what the firmware holds in memory contradicts itself"},
             {wire::fault_tick_overrun, "the controller was overloaded"}};
  std::string text;
  for (const auto& one : all) {
    if (!(faults & one.bit)) continue;
    text += (text.empty() ? "" : ", ") + std::string(one.words);
    faults &= ~one.bit;
  }
  if (faults) text += (text.empty() ? "" : ", ") + ("other faults (bits " + std::to_string(faults) + ")");
  return text;
}

Error refusal(const std::string& what, const wire::ReplyHeader& header) {
  const std::string begin = "the controller refused " + what + ": ";
  if (header.status == wire::Status::out_of_bounds) {
    const auto bound = static_cast<wire::Bound>(header.detail);
    const bool of_motion = bound == wire::Bound::level || bound == wire::Bound::duration || bound == wire::Bound::slope;
    return {ErrorKind::refused, "link.out-of-bounds", begin + bound_name(header.detail),
            of_motion ? "ask for less, or prove the point first" : "use the ringout of the firmware's version"};
  }
  const auto cause = static_cast<wire::StopCause>(header.detail);
  Words words = words_for(header.status);
  if (header.status == wire::Status::inhibited && cause == wire::StopCause::bug) {
    words.hint = "reset the controller; if it comes again, look for a wild pointer in the program";
  }
  std::string why = words.why;
  if (header.status == wire::Status::inhibited || header.status == wire::Status::end_reached) {
    why += " (" + words_for(cause) + ")";
  } else if (header.status == wire::Status::faults_latched) {
    why += " (" + words_for_faults(header.detail) + ")";
  } else if (header.status == wire::Status::table_refused_content) {
    why = header.detail == wire::no_point ? "the header of the table contradicts the board"
                                          : why + " (entry " + std::to_string(header.detail) + ")";
  }
  return {ErrorKind::refused, words.id, begin + why, words.hint};
}

Error stopped_by(wire::StopCause cause, const std::string& while_what) {
  const bool line = cause == wire::StopCause::hold_lapsed || cause == wire::StopCause::late_frame;
  return {
      ErrorKind::stopped, line ? "link.hold-lapsed" : "link.stopped",
      "outputs went off during " + while_what + ": " + words_for(cause),
      line ? "look at the cable; the line loses or delays too much" : "look at the robot before anything moves again"};
}

}  // namespace ringout::link
