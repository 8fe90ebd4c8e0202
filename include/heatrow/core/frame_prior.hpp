// Stage 0: what is known of a frame before its pixels are looked at.
#pragma once

#include "heatrow/core/time.hpp"
#include "heatrow/core/units.hpp"

#include <Eigen/Core>

#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// Position and attitude of the camera in the site frame (docs/conventions.md):
// yaw = azimuth of the image top, clockwise from true north; pitch 0 = straight down, +90 deg = horizon ahead;
// roll = right side down.
struct FramePose {
    Eigen::Vector3d position_in_site{0.0, 0.0, 0.0};  // east, north, up, m
    Radians yaw{0.0};
    Radians pitch{0.0};
    Radians roll{0.0};
};

// A pixel that is known to show a corner of a module; places handheld frames.
struct CornerPoint {
    Eigen::Vector2d pixel{0.0, 0.0};               // x, y, px
    Eigen::Vector3d point_in_site{0.0, 0.0, 0.0};  // m
};

// One frame of the survey, in the order of the run (sorted by name).
struct FramePrior {
    int frame = 0;                           // index in the run
    std::string name;                        // file name, the frame's id everywhere
    UtcTime time{};                          // capture time
    std::optional<FramePose> pose;           // as logged; metres off
    std::vector<CornerPoint> corner_points;  // for placement by corner points
};

}  // namespace heatrow
