// Value noise: random nodes on a square lattice, smooth between.
#pragma once

#include <cstdint>

namespace scene {

// In -1 .. 1; x and y in lattice lengths. period: lattice lengths after which it repeats, 0 = never.
double smooth_noise(std::uint64_t seed, double x, double y, int period = 0);

}  // namespace scene
