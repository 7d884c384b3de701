// How far every sensor strays by itself, learned from all bumps together.
#pragma once

#include <vector>

#include "prove/response.h"

namespace ringout::prove {

// A sensor belongs to one port at most, so in most bumps it only shows how far it strays by itself from rest to rest.
// An input that nothing holds strays far more than one quiet part lets one think. Nothing is learned from less than
// eight bumps or three bridges: there the bumps that move the sensor are not few enough.
void learn_drift(std::vector<std::vector<Response>>& by_bridge);

}  // namespace ringout::prove
