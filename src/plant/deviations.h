// How the simulated robot differs from the drawn one, and where its mechanisms stand at the start. A text file (TOML):
//
//   robot = "../robot.toml"            # the drawn robot that this file deviates from, beside this file
//   seed = 7
//   [start]
//   lift = "150 mm"                    # an output's mechanism; default: the middle of its travel
//   [[deviation]]
//   kind = "exchanged"
//   points = ["clamp", "mist_pump"]    # each sits on the other's port
//
// Every kind below is one value of `kind`; the other keys are the struct's members.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/diagnostic.h"
#include "robot/robot.h"

namespace ringout::plant {

enum class DeviationKind {
  exchanged,               // points: two outputs or two inputs of one port kind, on each other's ports
  on_port,                 // points: one, port: where it really is (the drawn port is empty)
  leads_reversed,          // points: a motor
  channels_swapped,        // points: an encoder
  channel_dead,            // points: an encoder, channel: "A" or "B"
  open_wire,               // points: any point, or part: a protection's supply wire
  intermittent_wire,       // points: any point; fraction: share of time open (default 0.3), mean_open: "40 ms"
  blown_protection,        // part: a protection
  weak_battery,            // state_of_charge and/or internal resistance factor
  dead_device,             // points: a motor that does not turn (open winding), a sensor that says nothing
  wrong_device,            // points, device: catalogue name of what is really there
  jammed,                  // points: a motor whose gear does not turn
  slipping,                // points: a motor whose coupling no longer takes the mechanism along
  stiff,                   // points: a motor whose mechanism rubs; factor: of its friction (default 4)
  weak_device,             // points: a motor with worn brushes; factor: of its winding's resistance (default 4)
  shorted_wire,            // points: an output, its two conductors touch
  dead_port,               // port: of the board, its driver or its input does nothing
  stuck,                   // points: a switch whose contact stays closed, an analogue sensor that stays at one value
  no_sensor_supply,        // the board's supply of the sensors is gone: encoders and analogue sensors say nothing
  end_switches_exchanged,  // points: the output whose two end switches are exchanged
  old_firmware,            // the agent says an older version
  stale_table,             // the controller carries the table of another robot file: `file`
  other_program,           // the program was built against other names: `file` (a robot file)
};

struct Deviation {
  DeviationKind kind = DeviationKind::exchanged;
  std::vector<std::string> points = {};
  std::string part = {};
  std::string port = {};
  std::string device = {};
  std::string channel = {};
  std::string file = {};
  std::optional<double> fraction = std::nullopt;           // 0 to 1
  std::optional<double> mean_open_s = std::nullopt;        // 0.001 to 3600
  std::optional<double> state_of_charge = std::nullopt;    // 0 to 1
  std::optional<double> resistance_factor = std::nullopt;  // 0.1 to 1000
  std::optional<double> factor = std::nullopt;             // 1 to 1000
  Span at = {};
  robot::Places places = {};  // of the keys, for findings against the robot
};

struct StartPlace {
  Span at;
  bool is_length = false;  // else an angle
};

struct Deviations {
  std::string robot_file;  // as written; the edge resolves it beside the deviations file
  std::uint64_t seed = 1;
  std::map<std::string, double> start;  // output name -> position, SI, in the mechanism's own unit
  std::map<std::string, StartPlace> start_places;
  std::vector<Deviation> all;
};

[[nodiscard]] const char* name_of(DeviationKind kind);  // as written: "leads_reversed"

// Reads the text; names are checked against `drawn` by check_deviations, because the robot file is named inside.
[[nodiscard]] std::optional<Deviations> read_deviations(const SourceText& text, Diagnostics& found);
void check_deviations(const Deviations& deviations, const robot::Robot& drawn, const SourceText& text,
                      Diagnostics& found);

}  // namespace ringout::plant
