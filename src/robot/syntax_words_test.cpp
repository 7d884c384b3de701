// What people write wrongly in a file that they wrote by hand, each told in one sentence with its place and what to
// write instead (tests/golden/robot/syntax.txt).

#include <doctest/doctest.h>

#include <array>

#include "robot/document.h"
#include "tests/golden.h"

using namespace ringout;
using namespace ringout::robot;

namespace {

const std::array wrong_texts = {
    "[[output]\nname = \"lift\"\n",
    "[battery\n",
    "[]\n",
    "[the lift]\n",
    "[battery] # fine\n[output] \"lift\"\n",
    "[battery]\n[battery]\n",
    "name = \"lift\"\nname = \"clamp\"\n",
    "name =\n",
    "= \"lift\"\n",
    "name = = \"lift\"\n",
    "the name = \"lift\"\n",
    "name: \"lift\"\n",
    "name \"lift\"\n",
    "// the lift\n",
    "name = \"lift\n",
    "name = 'lift\n",
    "name = \"lift\" \"clamp\"\n",
    "what = \"C:\\motors\"\n",
    "µ = \"“\"\n",
    "name = “lift”\n",
    "off = coast  # \"brake\" is the other one\n",
    "length = 0.8 m\n",
    "gear_ratio = 6O\n",
    "gear_ratio = 0,5\n",
    "gear_ratio = 060\n",
    "reversed = yes\n",
    "wire = { size = \"18 AWG\", length = \"0.8 m\"\n",
    "wire = { size = 18 AWG }\n",
    "limits = [ 1, 2\nrating = 5\n",
    "limits = [\n  { multiple = 1 }\n  { multiple = 2 }\n]\n",
    "limits = [ 1, 2\n",
    "name = \"\"\"lift\n",
    "name = \"li\x01"
    "ft\"\n",
    "µ_name = \"ä\" µ\n",
};

}  // namespace

TEST_CASE("each common slip of syntax is told at its place with what to write") {
  std::string told;
  for (const char* wrong : wrong_texts) {
    CAPTURE(std::string(wrong));
    const SourceText text("robot.toml", wrong);
    Diagnostics found;
    const auto document = read_document(text, found);
    if (document) {
      told += "read: " + std::string(wrong);
      continue;
    }
    REQUIRE(found.all().size() == 1);
    CHECK_FALSE(found.all().front().hint.empty());
    told += render(found.all().front(), &text) + "\n";
  }
  CHECK(told.find("encountered") == std::string::npos);  // none of the library's words
  CHECK(told.find(", saw") == std::string::npos);
  ringout::testing::check_golden("robot/syntax.txt", told);
}
