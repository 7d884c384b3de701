#include "bind/drawing.h"

#include <doctest/doctest.h>

#include <string>

namespace ringout::bind {

TEST_CASE("no letter is wider than estimated") {
  // Advance widths of DejaVu Sans 2.37 in 2048ths of the font size, from the font's own table (hmtx).
  const struct {
    const char* letter;
    int regular;
    int bold;
  } advances[] = {{"a", 1255, 1382}, {"i", 569, 702},   {"m", 1995, 2134}, {"w", 1675, 1892}, {"W", 2025, 2259},
                  {"M", 1767, 2038}, {"0", 1303, 1425}, {"_", 1024, 1024}, {" ", 651, 713},   {"Q", 1612, 1741}};
  for (const auto& a : advances) {
    CAPTURE(a.letter);
    CHECK(text_width(a.letter, 2048, Weight::regular) >= a.regular);
    CHECK(text_width(a.letter, 2048, Weight::bold) >= a.bold);
  }
}

TEST_CASE("a text is fitted: as it is, smaller, or cut") {
  const FittedText as_is = fit_text("lift", 40, 3, Weight::regular);
  CHECK(as_is.text == "lift");
  CHECK(as_is.size == doctest::Approx(3));

  const double wide = text_width("left_encoder", 3, Weight::regular);
  const FittedText smaller = fit_text("left_encoder", wide * 0.8, 3, Weight::regular);
  CHECK(smaller.text == "left_encoder");
  CHECK(smaller.size == doctest::Approx(2.4));

  const FittedText cut = fit_text("left_encoder", wide * 0.3, 3, Weight::regular);
  CHECK(cut.size == doctest::Approx(smallest_text));
  CHECK(cut.text.substr(cut.text.size() - 3) == "…");
  CHECK(text_width(cut.text, cut.size, Weight::regular) <= wide * 0.3);
}

TEST_CASE("cutting keeps letters of several bytes whole") {
  const FittedText cut = fit_text("äöüäöüäöü", 8, 2, Weight::regular);
  CHECK(cut.text.size() % 2 == 1);  // whole two-byte letters, then the ellipsis of three bytes
}

TEST_CASE("what a person wrote cannot break the file") {
  CHECK(escape_xml("a<b & \"c\">\x01") == "a&lt;b &amp; &quot;c&quot;&gt;");
  Drawing d;
  d.text({1, 1}, "</text><script>", 100, {});
  CHECK(d.svg(10, 10, "t", "").find("<script>") == std::string::npos);
}

}  // namespace ringout::bind
