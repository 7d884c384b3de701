// Must compile: everything a program may do, so that the refusals beside it mean something.
#include "points.hpp"

void program() {
  step("all of it");
  set(lift, 0.5);
  set(lift, -0.5F);
  set(lamp, on);
  set(lamp, read(lift_top));
  const float height = read(lift_encoder);
  dwell(10);
  if (!until(lift_encoder > height + 0.1F, 100)) return;
  until(clamp_position < 2, 100);
  until(pressed(lift_top), 100);
  until(released(lift_top), 100);
  until([&] { return read(clamp_position) > height && read(lift_top); }, 100);
  outputs_off();
}
