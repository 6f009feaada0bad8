#pragma once

#include <vector>

#include "sim/field/traffic_findings.h"

namespace cornerbench::field {

/// Which cell of a box with a channel per cell explains best, by another gain, how the trucks' numbers have
/// changed; with `since_first`, how they have always differed from those of equal cells. Likeliest first;
/// none below 5 %.
std::vector<Suspect> gain_suspects(const watch::TrafficWatch& traffic, bool since_first);

}  // namespace cornerbench::field
