// Writes points.hpp and board.hpp of a robot file into a folder, for building the demonstration before any command of
// the tool exists: write_bindings SOURCE_ROOT ROBOT_FILE FOLDER. Files whose text has not changed are left alone.
#include <cstdio>
#include <fstream>
#include <sstream>
#include <string>

#include "bind/firmware_build.h"
#include "bind/points_hpp.h"
#include "robot/testing.h"

namespace {

std::string text_of(const std::string& path) {
  std::ifstream file(path);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

bool write_if_new(const std::string& path, const std::string& text) {
  if (text_of(path) == text) return true;
  std::ofstream file(path);
  file << text;
  return file.good();
}

}  // namespace

int main(int count, char** words) {
  if (count != 4) {
    std::fputs("usage: write_bindings SOURCE_ROOT ROBOT_FILE FOLDER\n", stderr);
    return 2;
  }
  const std::string root = words[1];
  const std::string folder = words[3];
  const auto robot = ringout::robot::testing::robot_from(root, ringout::robot::testing::load_text(root, words[2]));
  const auto points = ringout::bind::points_hpp(robot);
  if (!points) {
    std::fprintf(stderr, "%s\n", points.error().message.c_str());
    return 2;
  }
  const bool written = write_if_new(folder + "/points.hpp", *points) &&
                       write_if_new(folder + "/board.hpp", ringout::bind::board_hpp(robot.board));
  return written ? 0 : 1;
}
