// A duty cycle of the robot file, over and over: what it takes from the battery and for how long, how hot the motors
// get, and whether a protection opens.
//
// Each step is solved as a load case, motors at the ambient temperature, the battery as stated and once more nearly
// empty; between the two the battery's current follows its voltage as a fixed current and a conductance do, or, where
// it rises as the voltage falls, as a fixed current and a fixed power do. Starting from rest is not in a step unless
// the cycle says so ("stalled" for the moment it takes).
//
// Heat: copper's resistance follows the winding's temperature within each step. A motor's current is taken as the
// larger of two: that of the cold motor (a stalled one takes most while it is cold), and that of one with winding and
// magnets at the temperatures at which the cycle settles (weaker magnets take more current for the same torque), both
// at the supply voltage of the cold network. So the heat is an upper bound of a motor that warms up.
#pragma once

#include <map>

#include "desk/case_figures.h"

namespace ringout::desk {

// One step solved with the battery as stated.
struct SolvedStep {
  Time duration = {};
  Current battery = {};
  Voltage terminals = {};
  Voltage controller = {};
  std::vector<Current> protections = {};   // by Robot::protections
  std::vector<LoadState> loads = {};       // by the circuit's chopped loads
  std::vector<ChoppedLoad> circuits = {};  // of each, at the ambient temperature
  std::vector<Voltage> supplies = {};      // of each
};

// The two elements of each protection device, by its index in the catalogue: no figure that can move is in them.
using ElementsOfDevices = std::map<std::size_t, physics::BoundingElements>;

// The temperatures at which each output's motor settled in the first of a cycle's evaluations, by output: where every
// later one begins.
using SettledMotors = std::map<std::size_t, physics::MotorTemperatures>;

// How a battery is run down: step by step as the robot does it, or as if each cycle took its charge evenly. The second
// ends up to one cycle off, and follows every figure without jumps: fit for how a result changes.
enum class RunDown { by_steps, evenly };

// The duty cycles of a robot whose figures may move between calls; both must outlive it.
class DutyChecker {
 public:
  DutyChecker(const robot::Robot& robot, CaseSolver& solver) : robot_(robot), solver_(solver) {}
  [[nodiscard]] DutyFigures figures(std::size_t cycle, const DeskOptions& options, RunDown how = RunDown::by_steps);

 private:
  [[nodiscard]] Result<const Solution*> solve(std::size_t cycle, std::size_t solution, const CaseSetting& setting);

  const robot::Robot& robot_;
  CaseSolver& solver_;
  std::vector<std::vector<std::vector<Voltage>>> near_;  // by cycle and solution: nodes, when first solved
  ElementsOfDevices elements_;
  std::vector<SettledMotors> settled_;  // by cycle
};

// Heat, in duty_heat.cpp.
[[nodiscard]] std::vector<MotorHeatFigures> motor_heat(const robot::Robot& robot, const Layout& layout,
                                                       const std::vector<SolvedStep>& steps, const DeskOptions& options,
                                                       SettledMotors& known);
[[nodiscard]] std::vector<ProfileFigures> protection_profiles(const robot::Robot& robot, const Layout& layout,
                                                              const std::vector<SolvedStep>& steps,
                                                              ElementsOfDevices& elements);

}  // namespace ringout::desk
