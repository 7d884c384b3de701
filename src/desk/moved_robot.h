// A copy of the robot whose figures with a tolerance can be moved within it.
//
// A battery's `internal` moves every row of its `internal_at` with it that has no tolerance of its own, in proportion:
// a specimen of more resistance has more at every charge and temperature.
#pragma once

#include <span>
#include <vector>

#include "robot/robot.h"

namespace ringout::desk {

class MovedRobot {
 public:
  explicit MovedRobot(const robot::Robot& robot);
  MovedRobot(const MovedRobot&) = delete;
  MovedRobot& operator=(const MovedRobot&) = delete;

  // Each figure at nominal + offset · half width, −1 … 1, in the order of Robot::tolerances.
  void move(std::span<const double> offsets);
  void move_one(std::size_t tolerance, double offset);
  [[nodiscard]] std::size_t tolerances() const { return quantities_.size(); }
  [[nodiscard]] const robot::Robot& robot() const { return robot_; }

 private:
  struct Follower {
    double* at;
    double nominal;
  };
  struct Moved {
    double* at = nullptr;
    double nominal = 0.0;
    double half_width = 0.0;
    std::vector<Follower> followers = {};
  };
  robot::Robot robot_;
  std::vector<Moved> quantities_;
};

}  // namespace ringout::desk
