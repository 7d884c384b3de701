#include "prove/drift.h"

#include <doctest/doctest.h>

using namespace ringout::prove;

namespace {

// `bumps` of every bridge; the first bridge's motor moves the encoder, and every bump moves the input that nothing
// holds.
std::vector<std::vector<Response>> bumped(const std::vector<int>& bumps) {
  std::vector<std::vector<Response>> by_bridge(bumps.size());
  for (std::size_t bridge = 0; bridge < bumps.size(); ++bridge) {
    for (int i = 0; i < bumps[bridge]; ++i) {
      Response r;
      const double way = i % 2 == 0 ? 1.0 : -1.0;
      r.encoders = {{.delta = bridge == 0 ? way * 100.0 : 0.0}};
      r.moved = {{.delta = bridge == 0 ? way * 50.0 : 0.2, .error = 0.5}, {.delta = way * 9.0, .error = 0.5}};
      r.rest = {Rest::still, Rest::still};
      by_bridge[bridge].push_back(r);
    }
  }
  return by_bridge;
}

}  // namespace

TEST_CASE("a sensor that one of few bridges moves is not called restless") {
  for (const std::vector<int>& bumps :
       {std::vector<int>{4, 4}, {8, 4}, {4, 4, 4}, {8, 4, 4}, {4, 0, 4}, {4, 4, 4, 4}}) {
    CAPTURE(bumps.size());
    auto by_bridge = bumped(bumps);
    learn_drift(by_bridge);
    for (const auto& responses : by_bridge) {
      for (const Response& r : responses) {
        CHECK(r.encoders[0].quiet_widest == 0);
        CHECK(r.rest[0] == Rest::still);
        CHECK(r.moved[0].error < 1.0);
      }
    }
  }
}

TEST_CASE("an input that strays in every bump is called restless") {
  auto by_bridge = bumped({4, 4, 4});
  learn_drift(by_bridge);
  for (const auto& responses : by_bridge) {
    for (const Response& r : responses) {
      CHECK(r.rest[1] == Rest::wanders);
      CHECK(r.moved[1].error > 9.0);
    }
  }
}
