// Pictures of a calibration board through a known lens.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/vision/board.hpp"

#include <Eigen/Core>

#include <cstdint>
#include <vector>

namespace heatrow::testing {

struct BoardScene {
    BoardShape shape{6, 5, Metres(0.1), BoardPattern::corners};
    Lens lens;
    bool dark_fields_warm = true;  // as a heated board shows them; else the other way round
    double dark_counts = 30500.0;
    double light_counts = 29800.0;
    double noise_counts = 20.0;
    double fading = 0.3;  // the contrast at the right edge of the board is lower by this share
};

struct BoardPose {
    Eigen::Matrix3d camera_from_board;
    Eigen::Vector3d board_in_camera;
};

// The board's middle on the line of sight at (x_share, y_share) of the half picture, turned about the picture's x and y
// axes (deg).
BoardPose pose_of(
    const BoardScene& scene, double tilt_x_deg, double tilt_y_deg, double distance_m, double x_share, double y_share);

// Fourteen poses that fill the picture and tilt up to 35 degrees.
std::vector<BoardPose> varied_poses(const BoardScene& scene);

Lens wide_lens();

// Rays from pixel to plane, 5 x 5 a pixel (a pixel's own blur), noise from a fixed seed.
Image<float> render(const BoardScene& scene, const BoardPose& pose, std::uint64_t seed);

// Where the board's points truly are.
std::vector<Eigen::Vector2d> true_points(const BoardScene& scene, const BoardPose& pose);

}  // namespace heatrow::testing
