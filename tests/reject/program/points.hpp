// Points for programs that must not compile.
#pragma once
#include "agent/program.hpp"
namespace points {
constexpr ringout::Motor lift{0};
constexpr ringout::OnOff lamp{1};
constexpr ringout::Servo flap{2};
constexpr ringout::Encoder lift_encoder{3};
constexpr ringout::Analogue clamp_position{4};
constexpr ringout::Switch lift_top{5};
}  // namespace points
using namespace ringout;
using namespace points;
