// Which parts of the modules lie in the shade of other tables, obstacles and what lies on them.
#pragma once

#include "faults.hpp"
#include "plant.hpp"
#include "ray_caster.hpp"

#include <vector>

namespace scene {

// A fault of pattern `shading` for each module that loses sun, direct_share of its light being direct.
std::vector<Fault> shading_faults(const Plant& plant,
                                  const std::vector<Slab>& slabs,
                                  double sun_azimuth_deg,
                                  double sun_elevation_deg,
                                  double direct_share);

}  // namespace scene
