// The program of the tray carrier, the invented demonstration robot. It fetches one tray: drives up to it, draws it
// onto the deck, clamps it, lifts it, mists it, and sets it down again. It names points only; where they are plugged
// in, which way they turn and what they may do is in the robot file.
//
// Every wait has a time limit. until(...) answers whether what it waited for has come true; where the answer is no, the
// program gives up in good order: it returns, and the controller turns all outputs off.
#include "points.hpp"

using namespace ringout;
using namespace points;

// Metres and radians, as the robot file gives them.
const float stop_distance = 0.25F;  // before the tray
const float clamp_closed = 1.2F;    // the jaws lie on the tray
const float clamp_open = 0.3F;
const float carry_height = 0.08F;  // above where the tray was clamped

static void drive(float level) {
  set(drive_left, level);
  set(drive_right, level);
}

static bool lower_to_the_end() {
  set(lift, -0.8);
  const bool down = until(pressed(lift_bottom), 9000);
  set(lift, 0.0);
  return down;
}

static bool raise_by(float height) {
  const float start = read(lift_encoder);
  set(lift, 0.8);
  const bool up = until([&] { return read(lift_encoder) > start + height || read(lift_top); }, 6000);
  set(lift, 0.0);
  return up && !read(lift_top);  // at the upper end switch something is wrong with the encoder
}

static bool fetch_tray() {
  step("drive to the tray");
  set(warning_lamp, on);
  drive(0.3F);
  until(range_ahead < stop_distance, 2000);  // on the bench nothing is ahead: go on after two seconds
  drive(0.0F);

  step("draw it onto the deck");
  set(belt, 0.5);
  until(pressed(tray_present), 2000);
  set(belt, 0.0);

  step("close the clamp");
  set(clamp, 0.5);
  const bool closed = until(clamp_position > clamp_closed, 4000);
  set(clamp, 0.0);
  return closed;
}

static void mist_tray() {
  step("mist");
  set(mist_pump, on);
  dwell(1500);
  set(mist_pump, off);
}

static void set_down() {
  step("lower");
  lower_to_the_end();

  step("open the clamp");
  set(clamp, -0.5);
  until(clamp_position < clamp_open, 4000);
  set(clamp, 0.0);
}

void program() {
  if (!fetch_tray()) return;

  step("raise");
  if (!raise_by(carry_height)) return;
  mist_tray();
  set_down();

  step("done");
  outputs_off();
}
