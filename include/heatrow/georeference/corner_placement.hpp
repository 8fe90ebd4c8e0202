// Placement of a handheld frame by pixels that are known to show corners of modules. No position is needed.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/core/frame_prior.hpp"
#include "heatrow/core/rejection.hpp"
#include "heatrow/georeference/frame_lock.hpp"

#include <tl/expected.hpp>

namespace heatrow {

struct CornerOptions {
    double click_sd_px = 0.7;     // of a corner point (own choice)
    double maximum_rms_px = 3.0;  // larger residuals mean a wrong corner or a wrong lens
};

// Pose from at least four corner points that lie nearly in one plane, no three on a line: homography (direct linear
// transform on undistorted points; Hartley & Zisserman, Multiple View Geometry, algorithm 4.2), then Gauss-Newton on
// the distances in the picture. not_locked with the figures where there are too few points, where they do not fix the
// pose, or where the residuals are too large. `edges_used` is the number of points.
tl::expected<LockedFrame, Rejection> place_by_corner_points(const Lens& lens,
                                                            const FramePrior& prior,
                                                            const CornerOptions& options = {});

}  // namespace heatrow
