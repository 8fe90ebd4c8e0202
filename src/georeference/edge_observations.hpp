// The edges of a frame at a pose that is right to about 2 px.
#pragma once

#include "heatrow/georeference/frame_lock.hpp"
#include "pose_solver.hpp"

#include <vector>

namespace heatrow::detail {

// As the last pass of a lock finds them.
std::vector<PoseObservation> edge_observations(
    const LayoutIndex& site, const Lens& lens, const FramePose& pose, CountView counts, const LockOptions& options);

}  // namespace heatrow::detail
