// Must not compile: a name that the robot file does not have.
// Says: was not declared|has not been declared
#include "points.hpp"

void program() {
  set(gripper, 0.5);
}
