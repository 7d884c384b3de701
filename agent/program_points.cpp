// The one place that turns the generated points.hpp into tables the agent can read.
#define RINGOUT_DEFINE_POINTS
#include "points.hpp"
