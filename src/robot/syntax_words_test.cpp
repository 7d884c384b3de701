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
    // numbers that are none
    "gear_ratio = .5\n",
    "gear_ratio = 15.\n",
    "gear_ratio = 1e\n",
    "gear_ratio = 1__0\n",
    "gear_ratio = +-5\n",
    "gear_ratio = 1e999\n",
    "gear_ratio = 99999999999999999999\n",
    "gear_ratio = 1.2.3\n",
    "gear_ratio = 1e1.5\n",
    "gear_ratio = 0_1\n",
    "gear_ratio = 0.0000000000000000000000000000000000000000000000000000000000000000"
    "00000000000000000000000000000000000000000000000000000000000000001\n",
    "gear_ratio = -\n",
    "gear_ratio = 15.",
    "off = e\n",
    "limits = [ 1, 2\ngear_ratio = .5\n",  // the list is what is wrong
    // commas
    "gear_ratio = 1,000\n",
    "gear_ratio = 0,500\n",
    "gear_ratio = 1,5e3\n",
    "gear_ratio = 1,000,000\n",
    "gear_ratio = 1.000,5\n",
    "gear_ratio = 1,\n",
    "a = ,\n",
    "length = 0,8 m\n",
    "length = 1,000 m\n",
    // backslashes
    "note = \"first line\\nC:\\motors\"\n",
    "note = \"\\b\\t\\n\\f\\r\\\"\\\\\\u00e4\\U0001F600\\q\"\n",
    "note = \"C:\\units\"\n",
    "note = \"\\U0001\"\n",
    "note = \"\\u00e4 \\ud800\"\n",
    "note = \"\\e\"\n",
    "note = \"\\é\"\n",
    "note = \"one\\ntwo\" three\n",
    // dots with nothing beside them
    "[output..mechanism]\n",
    "[.a]\n",
    "[a.]\n",
    "[[a. .b]]\n",
    "a. = 1\n",
    ".a = 1\n",
    "a..b = 1\n",
    // lines of a list, which are no headers
    "limits = [\n  [1, 2]\n  [3]\n]\n",
    "limits = [\n  [1]\n  [2],\n]\n",
    "limits = [\n  [3 4, 5],\n]\n",
    // more on a line than a key and its value
    "gear_ratio = 15  // turns\n",
    "gear_ratio = 15, reversed = true\n",
    "gear_ratio = 15; reversed = true\n",
    "off = coast // or brake\n",
    "off = // coast\n",
    "a = b = c\n",
    "name = it's # remark\n",
    "name = it's # remark = it's\n",
    "source = https://example.org\n",
    "path = C:\\motors\n",
    "length = 5\" # inches\n",
    "reversed = TRUE\n",
    "reversed = No\n",
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
