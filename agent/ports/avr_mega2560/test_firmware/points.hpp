// Points for tests of the firmware alone, in the form of a generated points.hpp: one of each kind that the agent
// serves. The fingerprint is the CRC-32/ISO-HDLC of "mover:bridge motor\nlamp:on/off\nturned:encoder\nangle:analogue\n"
// "pressed_in:switch\n".
#pragma once
#include "agent/program.hpp"
namespace points {
constexpr ringout::Motor mover{0};
constexpr ringout::OnOff lamp{1};
constexpr ringout::Encoder turned{2};
constexpr ringout::Analogue angle{3};
constexpr ringout::Switch pressed_in{4};
}  // namespace points
#ifdef RINGOUT_DEFINE_POINTS
namespace ringout {
extern const ProgramPoints program_points = {5, 0xF76481F2UL};
extern const PointName point_names[] RINGOUT_IN_FLASH = {
    {PointKind::bridge_motor, "mover"},      {PointKind::on_off, "lamp"},
    {PointKind::encoder, "turned"},          {PointKind::analogue, "angle"},
    {PointKind::switch_input, "pressed_in"},
};
}  // namespace ringout
#endif
