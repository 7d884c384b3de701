// Points of the test programs in this folder, in the form of a generated points.hpp.
#pragma once
#include "agent/program.hpp"
namespace points {
constexpr ringout::Motor lift{0};
constexpr ringout::OnOff lamp{1};
constexpr ringout::Encoder lift_encoder{2};
constexpr ringout::Switch lift_top{3};
}  // namespace points
#ifdef RINGOUT_DEFINE_POINTS
namespace ringout {
extern const ProgramPoints program_points = {4, 0x0A0B0C0DUL};
extern const PointName point_names[] RINGOUT_IN_FLASH = {
    {PointKind::bridge_motor, "lift"},
    {PointKind::on_off, "lamp"},
    {PointKind::encoder, "lift_encoder"},
    {PointKind::switch_input, "lift_top"},
};
}  // namespace ringout
#endif
