// How the camera moved during a detector time constant, by the picture's own edges.
#pragma once

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/georeference/frame_lock.hpp"
#include "heatrow/site/layout_index.hpp"

#include <Eigen/Core>

#include <optional>

namespace heatrow::detail {

// A first-order detector spreads what moves to one side, exponentially: the shape of an edge tells how far, and which
// way. Sides of modules of the two directions are held against trails of every length and sign, their places left free.
// Nothing where what the log tells (options.camera_motion_in_site) explains them about as well, or where the way is
// open. `camera`: right to about 2 px. Metres in the site's frame, as LockOptions.
std::optional<Eigen::Vector3d> measured_motion(const LayoutIndex& site,
                                               const PosedCamera& camera,
                                               CountView counts,
                                               const LockOptions& options);

}  // namespace heatrow::detail
