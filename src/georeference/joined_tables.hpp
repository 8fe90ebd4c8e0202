// What comes out of a solved scene: tables of modules in columns and tiers.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "joined_scene.hpp"

#include <vector>

namespace heatrow::detail {

// Takes out what most frames do not see, cuts tables at gaps that passed for a column, and fits plane and lattice to
// each. Solves the scene again where grids had to be put aside.
std::vector<JoinedTable> finish_tables(JoinedScene& scene,
                                       const std::vector<SeenFrame>& frames,
                                       const Lens& lens,
                                       const JoiningOptions& options);

}  // namespace heatrow::detail
