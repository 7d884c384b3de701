// The start of a drive train, inductance and friction included, against CVODE (SUNDIALS), a general solver of
// differential equations, on the equations written out a second time; CVODE finds the breakaway by its own root search.
#include <cvode/cvode.h>
#include <doctest/doctest.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <array>
#include <cmath>

#include "physics/drive_motion.h"
#include "physics/step_response.h"

using namespace ringout;
using namespace ringout::physics;

namespace {

// A geared motor that drives a load with inertia, friction and weight: SI at the output shaft.
struct Equations {
  double volts, resistance, inductance, k, inertia, viscous, opposing;
  bool moving = false;
};

int slopes(double, N_Vector y, N_Vector dy, void* user) {
  const Equations& e = *static_cast<const Equations*>(user);
  const double i = NV_Ith_S(y, 0);
  const double w = NV_Ith_S(y, 1);
  NV_Ith_S(dy, 0) = (e.volts - e.resistance * i - e.k * w) / e.inductance;
  NV_Ith_S(dy, 1) = e.moving ? (e.k * i - e.opposing - e.viscous * w) / e.inertia : 0.0;
  NV_Ith_S(dy, 2) = w;
  return 0;
}

int breakaway(double, N_Vector y, double* g, void* user) {
  const Equations& e = *static_cast<const Equations*>(user);
  g[0] = e.k * NV_Ith_S(y, 0) - e.opposing;
  return 0;
}

struct Solver {
  explicit Solver(Equations& e) {
    REQUIRE(SUNContext_Create(nullptr, &context) == 0);
    y = N_VNew_Serial(3, context);
    N_VConst(0.0, y);
    memory = CVodeCreate(CV_BDF, context);
    REQUIRE(CVodeInit(memory, slopes, 0.0, y) == CV_SUCCESS);
    REQUIRE(CVodeSStolerances(memory, 1e-11, 1e-13) == CV_SUCCESS);
    REQUIRE(CVodeSetUserData(memory, &e) == CV_SUCCESS);
    REQUIRE(CVodeSetMaxNumSteps(memory, 1000000) == CV_SUCCESS);
    matrix = SUNDenseMatrix(3, 3, context);
    linear = SUNLinSol_Dense(y, matrix, context);
    REQUIRE(CVodeSetLinearSolver(memory, linear, matrix) == CV_SUCCESS);
    REQUIRE(CVodeRootInit(memory, 1, breakaway) == CV_SUCCESS);
    double reached = 0.0;
    REQUIRE(CVode(memory, 1e6, y, &reached, CV_NORMAL) == CV_ROOT_RETURN);
    started = reached;
    e.moving = true;
    NV_Ith_S(y, 1) = 0.0;
    REQUIRE(CVodeReInit(memory, reached, y) == CV_SUCCESS);
    REQUIRE(CVodeRootInit(memory, 0, nullptr) == CV_SUCCESS);
  }
  ~Solver() {
    CVodeFree(&memory);
    SUNLinSolFree(linear);
    SUNMatDestroy(matrix);
    N_VDestroy(y);
    SUNContext_Free(&context);
  }
  Solver(const Solver&) = delete;
  Solver& operator=(const Solver&) = delete;

  void run_to(double t) {
    double reached = 0.0;
    REQUIRE(CVodeSetStopTime(memory, t) == CV_SUCCESS);
    REQUIRE(CVode(memory, t, y, &reached, CV_NORMAL) >= 0);
  }

  SUNContext context = nullptr;
  N_Vector y = nullptr;
  void* memory = nullptr;
  SUNMatrix matrix = nullptr;
  SUNLinearSolver linear = nullptr;
  double started = 0.0;
};

// A wheel drive as robots have them: 12 V, gear 60, 80 %, leads and bridge, friction and viscous drag.
MovingDrive wheel() {
  MovingDrive m;
  m.train.motor = {.winding = ohms(0.8), .k = volt_seconds_per_radian(0.018), .free_current = amperes(0.25)};
  m.train.gear = {.ratio = 60, .efficiency = 0.8, .back_efficiency = {}};
  m.train.driver = ohms(0.15);
  m.train.leads = ohms(0.04);
  m.train.load = {.weight = newton_metres(0.5), .friction = newton_metres(0.45), .viscous = newton_metre_seconds(0.02)};
  m.rotor = kilogram_square_metres(6e-6);
  m.load = kilogram_square_metres(0.084);
  return m;
}

Equations equations(const MovingDrive& m, double volts, double inductance) {
  const DriveTrain& t = m.train;
  const double n = t.gear.ratio;
  const double k = n * t.motor.k.si;
  const double e = 1.0 / t.gear.efficiency;
  return {.volts = volts,
          .resistance = t.motor.winding.si + t.driver.si + t.leads.si,
          .inductance = inductance,
          .k = k,
          .inertia = n * n * m.rotor.si + e * m.load.si,
          .viscous = e * t.load.viscous.si,
          .opposing = k * t.motor.free_current.si + e * (t.load.weight.si + t.load.friction.si)};
}

LinearMotor linear_motor(const Equations& e) {
  return {.r = {e.resistance}, .l = {e.inductance}, .k = {e.k}, .j = {e.inertia}, .b = {e.viscous}};
}

bool agrees(double ours, double theirs, double scale) {
  return std::abs(ours - theirs) <= 1e-6 * std::max(std::abs(theirs), scale);
}

}  // namespace

// 1e-6 relative; currents near nothing are measured against the stall current, speeds against the settled speed / 1000.
TEST_CASE("the start-up transient agrees with CVODE within 1e-6") {
  for (const double inductance : {0.3e-3, 2e-3, 60e-3}) {  // real poles far apart, nearer, complex
    for (const double volts : {12.0, 5.0}) {
      CAPTURE(inductance);
      CAPTURE(volts);
      Equations e = equations(wheel(), volts, inductance);
      const LinearMotor m = linear_motor(e);
      const Torque opposing = {e.opposing};
      Solver reference(e);
      CHECK(agrees(breakaway_time(m, {volts}, opposing).si, reference.started, 0.0));
      const double settled = steady_speed(m, Voltage{volts} - m.r * (opposing / m.k)).si;
      const double tau = e.inertia * e.resistance / (e.k * e.k);
      for (const double share : {0.05, 0.2, 0.5, 1.0, 2.0, 5.0}) {
        CAPTURE(share);
        const double t = reference.started + share * tau;
        reference.run_to(t);
        const MotorMotion ours = start_against(m, {volts}, opposing, {t});
        CHECK(agrees(ours.current.si, NV_Ith_S(reference.y, 0), 0.01 * volts / e.resistance));
        CHECK(agrees(ours.speed.si, NV_Ith_S(reference.y, 1), 1e-3 * settled));
        CHECK(agrees(ours.angle.si, NV_Ith_S(reference.y, 2), 1e-3 * settled * tau));
      }
    }
  }
}

// Without inductance the closed form of drive_motion.h; CVODE with next to none comes to it: the difference is of the
// order of L/R over the mechanical time constant, here 1e-7 of it.
TEST_CASE("the start without inductance is the limit of the one with it") {
  const MovingDrive drive = wheel();
  Equations e = equations(drive, 12.0, 1e-8);
  const auto run = start_up(drive, {.source = volts(12), .duty = 1.0}, 0.9);
  REQUIRE(run.has_value());
  Solver reference(e);
  reference.run_to(reference.started + run->time.si);
  CHECK(agrees(run->ended.si, NV_Ith_S(reference.y, 1), 0.0));
  CHECK(agrees(run->angle.si, NV_Ith_S(reference.y, 2), 0.0));
}

TEST_CASE("a motor that cannot overcome its friction stands, and its current settles at U/R") {
  const Equations e = equations(wheel(), 1.0, 1e-3);
  const LinearMotor m = linear_motor(e);
  CHECK(std::isinf(breakaway_time(m, volts(1), {e.opposing}).si));
  const MotorMotion late = start_against(m, volts(1), {e.opposing}, seconds(10));
  CHECK(late.current.si == doctest::Approx(1.0 / e.resistance));
  CHECK(late.speed.si == 0.0);
}
