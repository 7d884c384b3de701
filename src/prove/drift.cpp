#include "prove/drift.h"

#include <algorithm>
#include <cmath>

namespace ringout::prove {

namespace {

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return 0.5 * (*middle + *std::max_element(values.begin(), middle));
}

// What this sensor strays in a bump of another bridge: the median over bridges of each bridge's own median, so that
// many bumps of the one bridge that moves it weigh no more than one.
template <class StrayOf>
double drift_of(const std::vector<std::vector<Response>>& by_bridge, StrayOf stray_of) {
  std::vector<double> bridges;
  for (const auto& responses : by_bridge) {
    if (responses.empty()) continue;
    std::vector<double> strays;
    strays.reserve(responses.size());
    for (const Response& r : responses) strays.push_back(stray_of(r));
    bridges.push_back(median(std::move(strays)));
  }
  return 1.4826 * median(std::move(bridges));
}

}  // namespace

void learn_drift(std::vector<std::vector<Response>>& by_bridge) {
  constexpr std::size_t least_bumps = 8;
  constexpr std::ptrdiff_t least_bridges = 3;  // with two, the one that moves a sensor is half of all
  constexpr double wandering = 2.5;            // raw steps; a connected sensor stays well below
  std::vector<Response*> all;
  for (auto& responses : by_bridge) {
    for (Response& r : responses) all.push_back(&r);
  }
  const auto bumped =
      std::count_if(by_bridge.begin(), by_bridge.end(), [](const auto& responses) { return !responses.empty(); });
  if (all.size() < least_bumps || bumped < least_bridges) return;
  for (std::size_t c = 0; c < all[0]->moved.size(); ++c) {
    const double drift =
        drift_of(by_bridge, [c](const Response& r) { return c < r.moved.size() ? std::abs(r.moved[c].delta) : 0.0; });
    for (Response* r : all) {
      if (c >= r->moved.size()) continue;
      r->moved[c].error = std::hypot(r->moved[c].error, 1.5 * drift);
      if (drift > wandering) r->rest[c] = std::max(r->rest[c], Rest::wanders);
    }
  }
  for (std::size_t e = 0; e < all[0]->encoders.size(); ++e) {
    const double drift = drift_of(
        by_bridge, [e](const Response& r) { return e < r.encoders.size() ? std::abs(r.encoders[e].delta) : 0.0; });
    const int widest = static_cast<int>(std::ceil(drift));
    for (Response* r : all) {
      if (e < r->encoders.size()) r->encoders[e].quiet_widest = std::max(r->encoders[e].quiet_widest, widest);
    }
  }
}

}  // namespace ringout::prove
