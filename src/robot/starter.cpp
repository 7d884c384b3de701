#include "robot/starter.h"

#include <fmt/format.h>

#include <cmath>

#include "robot/resolve.h"

namespace ringout::robot {

namespace {

template <class Accept>
std::string first_device(const Catalogue& catalogue, Accept accept) {
  for (const Device& d : catalogue.devices) {
    if (accept(d)) return d.name;
  }
  return "to_be_described";
}

template <class Spec>
std::string first_of(const Catalogue& catalogue) {
  return first_device(catalogue, [](const Device& d) { return d.as<Spec>() != nullptr; });
}

std::string first_protection(const Catalogue& catalogue, ProtectionKind kind) {
  return first_device(catalogue, [&](const Device& d) {
    const auto* p = d.as<ProtectionDevice>();
    return p != nullptr && p->kind == kind;
  });
}

std::string motor_for(const Catalogue& catalogue, const std::string& battery) {
  const Device* device = catalogue.device(battery);
  const double supply = device == nullptr ? 12.0 : device->as<BatteryDevice>()->nominal.si;
  return first_device(catalogue, [&](const Device& d) {
    const auto* m = d.as<MotorDevice>();
    return m != nullptr && std::abs(m->nominal.si / supply - 1.0) < 0.25;
  });
}

std::string port_name(const Board& board, PortKind kind, std::size_t number) {
  const auto ports = board.of_kind(kind);
  return number < ports.size() ? ports[number]->name : "none";
}

constexpr const char* head_text =
    R"(# Robot file of {name}. It says how the robot is wired and what it moves; people alone write it.
#
#   [battery]      one table of that name
#   [[output]]     one of several: write the header again for the next one
#   "0.8 m"        quantities carry their unit
#   # ...          a comment, up to the end of the line
#
# The values below are placeholders: replace each by what is really there, and describe devices that the catalogue does
# not have in a file of your own beside this one. Every key is explained in docs/robot_file.md.

[robot]
name = "{name}"
description = "what it does, in one sentence"

# Who settles what: one person may stand in all three lines.
[owners]
mechanics = "who builds it"
wiring = "who wires it"
programming = "who programs it"

# ---- supply ---------------------------------------------------------------------------------------------------------

[battery]
device = "{battery}"
state_of_charge = "90 %"
wire = {{ size = "10 AWG", length = "0.3 m" }}  # length one way; sizes as "18 AWG" or "0.75 mm2"

[[protection]]
name = "main_breaker"  # the disconnect: all the rest is fed from it
device = "{breaker}"
fed_from = "battery"
wire = {{ size = "10 AWG", length = "0.3 m" }}
access = {{ place = "open, at the back", effort = "1 min" }}

[[protection]]
name = "fuse_motors"
device = "{fuse}"
fed_from = "main_breaker"
wire = {{ size = "16 AWG", length = "0.3 m" }}

[[protection]]
name = "fuse_board"
device = "{fuse}"
fed_from = "main_breaker"
wire = {{ size = "18 AWG", length = "0.3 m" }}

[board]
model = "{board}"
fed_by = "fuse_board"
wire = {{ size = "18 AWG", length = "0.3 m" }}
)";

constexpr const char* points_text = R"(
# ---- outputs: what the program moves --------------------------------------------------------------------------------

[[output]]
name = "drive"               # the name in the program: a legal C++ name
kind = "bridge motor"        # or "servo", "on/off", "light"
device = "{motor}"
port = "{bridge_1}"
fed_by = "fuse_motors"
wire = {{ size = "16 AWG", length = "0.7 m" }}
reversed = false             # true: a positive value needs a negative drive
off = "coast"                # or "brake"
max_level = "100 %"
positive_means = "rolls forward"
owner = "wiring"

[output.mechanism]           # all seen at the gear's output shaft
gear_ratio = 60              # motor turns for one turn of the output shaft
inertia = "0.08 kg*m2"       # with the load: mass * radius^2 for a wheel
friction = "0.4 N*m"
radius = "80 mm"             # of the wheel

[[output]]
name = "lift"
kind = "bridge motor"
device = "{motor}"
port = "{bridge_2}"
fed_by = "fuse_motors"
wire = {{ size = "16 AWG", length = "0.9 m" }}
off = "brake"
positive_means = "raises the load"
low_switch = "lift_bottom"
high_switch = "lift_top"
owner = "wiring"

[output.mechanism]
gear_ratio = 15
inertia = "6e-5 kg*m2"
friction = "0.14 N*m"
lifted = "8 kg"
radius = "8 mm/rev"          # a screw; a drum has its radius here, "20 mm"
self_locking = true          # stays where it is without power
travel = {{ low = "0 mm", high = "300 mm" }}  # between the hard stops
bump_clearance = "100 mm"    # how far from both stops you put it before proving

# ---- inputs: what the program reads ---------------------------------------------------------------------------------

[[input]]
name = "drive_encoder"
kind = "encoder"             # or "switch", "analogue", "bus device"
device = "{encoder}"
port = "{encoder_1}"
senses = "motion"            # or "low end", "high end", "surroundings"
of = "drive"
shaft = "output"             # or "motor"
wire = {{ size = "24 AWG", length = "0.7 m" }}
owner = "wiring"

[[input]]
name = "lift_bottom"
kind = "switch"
device = "{switch}"
port = "{switch_1}"
senses = "low end"
of = "lift"
hand_action = "press the switch at the foot of the mast"
wire = {{ size = "24 AWG", length = "0.9 m" }}
owner = "wiring"

[[input]]
name = "lift_top"
kind = "switch"
device = "{switch}"
port = "{switch_2}"
senses = "high end"
of = "lift"
hand_action = "press the switch at the head of the mast"
wire = {{ size = "24 AWG", length = "1.4 m" }}
owner = "wiring"

# ---- load cases: moments that the desk check looks at besides its own -----------------------------------------------
# Take away the # before each of the following lines, and say what your robot does at once. Loading is "running",
# "stalled", "at speed" (with a speed) or "off"; an output that is not named is off.

#[[load_case]]
#name = "lift_jams_while_driving"
#description = "the load catches on a shelf while the robot rolls away"
#state_of_charge = "50 %"
#loads = [{{ output = "drive", loading = "running" }}, {{ output = "lift", loading = "stalled" }}]
)";

}  // namespace

std::string starter_robot_file(const std::string& name, const Catalogue& catalogue) {
  const std::string battery = first_of<BatteryDevice>(catalogue);
  const Board board = catalogue.boards.empty() ? Board{} : catalogue.boards.front();
  const std::string head = fmt::format(
      fmt::runtime(head_text), fmt::arg("name", fault_of_name(name).empty() ? name : "my_robot"),
      fmt::arg("battery", battery), fmt::arg("breaker", first_protection(catalogue, ProtectionKind::breaker)),
      fmt::arg("fuse", first_protection(catalogue, ProtectionKind::fuse)),
      fmt::arg("board", board.name.empty() ? "to_be_described" : board.name));
  const std::string points = fmt::format(fmt::runtime(points_text), fmt::arg("motor", motor_for(catalogue, battery)),
                                         fmt::arg("encoder", first_of<EncoderDevice>(catalogue)),
                                         fmt::arg("switch", first_of<SwitchDevice>(catalogue)),
                                         fmt::arg("bridge_1", port_name(board, PortKind::bridge, 0)),
                                         fmt::arg("bridge_2", port_name(board, PortKind::bridge, 1)),
                                         fmt::arg("encoder_1", port_name(board, PortKind::encoder_input, 0)),
                                         fmt::arg("switch_1", port_name(board, PortKind::switch_input, 0)),
                                         fmt::arg("switch_2", port_name(board, PortKind::switch_input, 1)));
  return head + points;
}

}  // namespace ringout::robot
