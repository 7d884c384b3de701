// The axis against CVODE (SUNDIALS), a general solver of differential equations, on the equations written out a second
// time: a lift raised at three drive levels, with weight, Stribeck friction, gear loss, cogging and ripple.
#include <cvode/cvode.h>
#include <doctest/doctest.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <cmath>

#include "plant/axis_testing.h"
#include "plant/wave.h"

using namespace ringout;
using plant::AxisParameters;
using plant::MotorAxis;

namespace {

struct State {
  double current, speed, position;
};

struct Drive {
  AxisParameters p;
  double volts;
};

// Rotor and load move as one, the motor driving; speed stays positive.
int slopes(double, N_Vector y, N_Vector dy, void* user) {
  const Drive& d = *static_cast<const Drive*>(user);
  const AxisParameters& p = d.p;
  const double i = NV_Ith_S(y, 0);
  const double w = NV_Ith_S(y, 1);
  const double turns = (NV_Ith_S(y, 2) + p.half_backlash) * p.gear / (2.0 * pi);  // of the rotor, before the gap
  const double k = p.gear * p.k * (1.0 + p.ripple * plant::wave(turns * p.ripple_periods));
  const double cogging = -p.gear * p.cogging / (2.0 * pi) * plant::wave_slope(turns * p.cogging_periods);
  const double e = 1.0 / p.efficiency;
  const double coulomb = p.gear * p.rotor_friction + e * p.load_friction;
  const double stribeck = 1.0 + (p.breakaway - 1.0) / (1.0 + w * w / (p.stribeck_speed * p.stribeck_speed));
  const double viscous = p.gear * p.gear * p.rotor_viscous + e * p.load_viscous;
  const double inertia = p.gear * p.gear * p.rotor_inertia + e * p.load_inertia;
  NV_Ith_S(dy, 0) = (d.volts - (p.winding_resistance + p.series_resistance) * i - k * w) / p.inductance;
  NV_Ith_S(dy, 1) = (k * i + cogging - viscous * w - coulomb * stribeck - e * p.weight_torque) / inertia;
  NV_Ith_S(dy, 2) = w;
  return 0;
}

State reference(const AxisParameters& p, State from, double volts, double seconds) {
  Drive drive{p, volts};
  SUNContext context = nullptr;
  REQUIRE(SUNContext_Create(nullptr, &context) == 0);
  N_Vector y = N_VNew_Serial(3, context);
  NV_Ith_S(y, 0) = from.current;
  NV_Ith_S(y, 1) = from.speed;
  NV_Ith_S(y, 2) = from.position;
  void* solver = CVodeCreate(CV_BDF, context);
  REQUIRE(CVodeInit(solver, slopes, 0.0, y) == CV_SUCCESS);
  REQUIRE(CVodeSStolerances(solver, 1e-9, 1e-10) == CV_SUCCESS);
  REQUIRE(CVodeSetUserData(solver, &drive) == CV_SUCCESS);
  REQUIRE(CVodeSetMaxNumSteps(solver, 500000) == CV_SUCCESS);
  SUNMatrix matrix = SUNDenseMatrix(3, 3, context);
  SUNLinearSolver linear = SUNLinSol_Dense(y, matrix, context);
  REQUIRE(CVodeSetLinearSolver(solver, linear, matrix) == CV_SUCCESS);
  double reached = 0.0;
  REQUIRE(CVode(solver, seconds, y, &reached, CV_NORMAL) == CV_SUCCESS);
  const State end{NV_Ith_S(y, 0), NV_Ith_S(y, 1), NV_Ith_S(y, 2)};
  CVodeFree(&solver);
  SUNLinSolFree(linear);
  SUNMatDestroy(matrix);
  N_VDestroy(y);
  SUNContext_Free(&context);
  return end;
}

struct Tolerance {
  double dt, speed, position;
};

}  // namespace

// From the plant's own state at 0.2 s (moving, gear engaged). Speeds in shares of the speed, positions of the way gone.
// At 1 ms the ripple of a fast rotor is sampled but once or twice a period, which is what the wider tolerance is for.
TEST_CASE("a raised lift agrees with CVODE") {
  const AxisParameters p = plant::testing::lift();
  for (const Tolerance& allowed :
       {Tolerance{1e-3, 0.01, 0.002}, Tolerance{1e-4, 1e-3, 2e-4}, Tolerance{2e-5, 1e-4, 2e-5}}) {
    CAPTURE(allowed.dt);
    MotorAxis axis(p, -19.0, 0.0);
    plant::testing::run(axis, 0.4, robot::Off::brake, 12.0, allowed.dt,
                        static_cast<int>(std::lround(0.2 / allowed.dt)));
    State s{axis.current(), axis.speed(), axis.position()};
    const double from = s.position;
    REQUIRE(s.speed > 1.0);
    for (const double duty : {0.9, 0.55, 0.75}) {
      CAPTURE(duty);
      const double seconds = 0.15;
      plant::testing::run(axis, duty, robot::Off::brake, 12.0, allowed.dt,
                          static_cast<int>(std::lround(seconds / allowed.dt)));
      s = reference(p, s, 12.0 * duty, seconds);
      CHECK(std::abs(axis.speed() - s.speed) <= allowed.speed * s.speed);
      CHECK(std::abs(axis.position() - s.position) <= allowed.position * (s.position - from));
    }
    CHECK(s.position - from > 5.0);
  }
}
