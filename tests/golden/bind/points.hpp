// Points of "Tray carrier", written by ringout bind from the robot file. Do not edit: change the robot file and bind again.
#pragma once
#include "agent/program.hpp"
namespace points {
constexpr ringout::Motor drive_left{0};  // positive: forward
constexpr ringout::Motor drive_right{1};  // positive: forward
constexpr ringout::Motor lift{2};  // positive: raises
constexpr ringout::Motor clamp{3};  // positive: closes
constexpr ringout::Motor belt{4};  // positive: carries to the rear
constexpr ringout::OnOff mist_pump{5};
constexpr ringout::OnOff warning_lamp{6};
constexpr ringout::Encoder left_encoder{7};  // watches drive_left
constexpr ringout::Encoder right_encoder{8};  // watches drive_right
constexpr ringout::Encoder lift_encoder{9};  // watches lift
constexpr ringout::Encoder belt_encoder{10};  // watches belt
constexpr ringout::Switch lift_bottom{11};  // watches lift
constexpr ringout::Switch lift_top{12};  // watches lift
constexpr ringout::Switch tray_present{13};
constexpr ringout::Analogue clamp_position{14};  // watches clamp
constexpr ringout::Analogue range_ahead{15};
}
#ifdef RINGOUT_DEFINE_POINTS
namespace ringout {
extern const ProgramPoints program_points = {16, 0x7D99EF24UL};  // number of points, program fingerprint
extern const PointName point_names[] RINGOUT_IN_FLASH = {
    {PointKind::bridge_motor, "drive_left"},
    {PointKind::bridge_motor, "drive_right"},
    {PointKind::bridge_motor, "lift"},
    {PointKind::bridge_motor, "clamp"},
    {PointKind::bridge_motor, "belt"},
    {PointKind::on_off, "mist_pump"},
    {PointKind::on_off, "warning_lamp"},
    {PointKind::encoder, "left_encoder"},
    {PointKind::encoder, "right_encoder"},
    {PointKind::encoder, "lift_encoder"},
    {PointKind::encoder, "belt_encoder"},
    {PointKind::switch_input, "lift_bottom"},
    {PointKind::switch_input, "lift_top"},
    {PointKind::switch_input, "tray_present"},
    {PointKind::analogue, "clamp_position"},
    {PointKind::analogue, "range_ahead"},
};
}
#endif
