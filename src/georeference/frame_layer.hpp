// Lays frames, one after the other, onto the tables that earlier ones showed.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "joined_scene.hpp"

#include <string>
#include <utility>
#include <vector>

namespace heatrow::detail {

// Fills poses, grids and tables of an empty scene. Frames that fit earlier ones in two places are left out: their
// index, and why.
std::vector<std::pair<int, std::string>> lay_frames(JoinedScene& scene,
                                                    const std::vector<SeenFrame>& frames,
                                                    const Lens& lens,
                                                    const JoiningOptions& options);

}  // namespace heatrow::detail
