#include "find/tail_bound.h"

#include <cmath>
#include <limits>

#include "find/prior.h"

namespace ringout::find {

TailBound::TailBound(const Likelihood& likelihood, int faults_at_once)
    : likelihood_(likelihood), faults_at_once_(faults_at_once) {
  constexpr std::array<double, 6> floors{1.0, 0.5, 0.2, 0.1, 0.05, 0.02};
  for (std::size_t i = 0; i < floors.size(); ++i) {
    const std::size_t modes = likelihood.model().modes.size();
    tracks_[i] = {floors[i], 0.0, std::vector<double>(modes, 1.0), std::vector<double>(modes, 0.0)};
  }
}

void TailBound::answer(Index observation, Index outcome) {
  const Observation& o = likelihood_.model().observations[observation];
  if (!o.joint.empty()) return;  // at most 1
  const double healthy = o.healthy[outcome];
  const bool product = o.combination != Combination::first && outcome == 0;
  for (Track& track : tracks_) {
    const double floor = std::max(track.floor, healthy);
    if (!product) track.log_scale += std::log(floor);
    if (product && o.combination == Combination::noisy) track.log_scale += std::log(healthy);
    for (const Effect& e : o.effects)
      track.stays[e.mode] *= product ? e.chance[outcome] : 1 + e.chance[outcome] / floor;
  }
}

void TailBound::failed_repair(Index repair) {
  for (Track& track : tracks_) {
    for (const Mend& m : likelihood_.model().repairs[repair].mends) {
      track.mended[m.mode] += track.stays[m.mode] * m.chance;
      track.stays[m.mode] *= 1 - m.chance;
    }
  }
}

double TailBound::log_weight() const {
  double least = std::numeric_limits<double>::infinity();
  for (const Track& track : tracks_) {
    std::vector<double> factor = track.stays;
    for (std::size_t i = 0; i < factor.size(); ++i) factor[i] += track.mended[i];
    const double bound = track.log_scale + std::log(tail_above(likelihood_.model(), faults_at_once_, factor));
    if (!std::isnan(bound)) least = std::min(least, bound);
  }
  return least;
}

}  // namespace ringout::find
