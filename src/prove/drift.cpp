#include "prove/drift.h"

#include <algorithm>
#include <cmath>

namespace ringout::prove {

namespace {

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace

void learn_drift(std::vector<std::vector<Response>>& by_bridge) {
  constexpr std::size_t least_bumps = 8;
  constexpr double wandering = 2.5;  // raw steps; a connected sensor stays well below
  std::vector<Response*> all;
  for (auto& responses : by_bridge) {
    for (Response& r : responses) all.push_back(&r);
  }
  if (all.size() < least_bumps) return;
  for (std::size_t c = 0; c < all[0]->moved.size(); ++c) {
    std::vector<double> strays;
    strays.reserve(all.size());
    for (const Response* r : all) strays.push_back(c < r->moved.size() ? std::abs(r->moved[c].delta) : 0.0);
    const double drift = 1.4826 * median(strays);
    for (Response* r : all) {
      if (c >= r->moved.size()) continue;
      r->moved[c].error = std::hypot(r->moved[c].error, 1.5 * drift);
      if (drift > wandering) r->rest[c] = std::max(r->rest[c], Rest::wanders);
    }
  }
  for (std::size_t e = 0; e < all[0]->encoders.size(); ++e) {
    std::vector<double> strays;
    strays.reserve(all.size());
    for (const Response* r : all) strays.push_back(e < r->encoders.size() ? std::abs(r->encoders[e].delta) : 0.0);
    const int drift = static_cast<int>(std::ceil(1.4826 * median(strays)));
    for (Response* r : all) {
      if (e < r->encoders.size()) r->encoders[e].quiet_widest = std::max(r->encoders[e].quiet_widest, drift);
    }
  }
}

}  // namespace ringout::prove
