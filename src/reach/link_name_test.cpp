#include "reach/link_name.h"

#include <doctest/doctest.h>

using namespace ringout;
using namespace ringout::reach;

namespace {

const std::vector<std::string> ports{"/dev/ttyACM0", "/dev/ttyUSB3"};

std::string advice(const std::string& text) {
  const auto name = read_link_name(text, ports);
  REQUIRE_FALSE(name.has_value());
  CHECK(name.error().kind == ErrorKind::bad_input);
  return name.error().hint;
}

}  // namespace

TEST_CASE("every kind of link has its name") {
  CHECK(read_link_name("none", ports)->to == LinkTo::none);
  CHECK(read_link_name("twin", ports)->to == LinkTo::twin);
  CHECK_FALSE(read_link_name("twin", ports)->deviations.has_value());
  CHECK(read_link_name("twin:a/b.toml", ports)->deviations == "a/b.toml");
  CHECK(read_link_name("emulated", ports)->to == LinkTo::emulated);
  CHECK(read_link_name("emulated:x.toml", ports)->deviations == "x.toml");
  CHECK(read_link_name("/dev/ttyACM0", ports)->device == "/dev/ttyACM0");
  CHECK(read_link_name("./port", ports)->to == LinkTo::serial_port);
  CHECK(read_link_name("/dev/serial/by-path/usb-0:1:1.0", ports)->to == LinkTo::serial_port);
}

TEST_CASE("an unknown link is answered with the nearest one") {
  CHECK(advice("twn") == "did you mean twin?");
  CHECK(advice("emulatd:deviations/x.toml") == "did you mean emulated:deviations/x.toml?");
  CHECK(advice("ttyUSB3") == "did you mean /dev/ttyUSB3?");
  CHECK(advice("twin:") == "write twin:FILE.toml, or twin for the robot as drawn");
  CHECK(advice("robot") ==
        "write a serial device's path, twin, twin:FILE.toml, emulated, emulated:FILE.toml or none; serial devices "
        "here: /dev/ttyACM0 /dev/ttyUSB3");
  CHECK(read_link_name("", {}).error().message == "there is no link named \"\"");
}
