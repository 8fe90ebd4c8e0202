// Which part of the site a camera can see at most.
#pragma once

#include <Eigen/Core>

#include "heatrow/camera/posed_camera.hpp"

namespace heatrow {

// A box along east and north, m; infinite where the camera sees the horizon.
struct GroundBox {
    Eigen::Vector2d low{0.0, 0.0};
    Eigen::Vector2d high{0.0, 0.0};
};

// Holds every point between the two heights that falls into the picture, and `margin` around them.
GroundBox ground_box(const PosedCamera& camera, Metres lowest, Metres highest, Metres margin);

}  // namespace heatrow
