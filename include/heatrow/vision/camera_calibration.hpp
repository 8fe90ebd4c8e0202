// The lens of a camera from pictures of a flat board.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/vision/board.hpp"

#include <Eigen/Core>

#include <span>
#include <string>
#include <vector>

namespace heatrow {

// One picture in which the board was found.
struct BoardFrame {
    std::string name;
    std::vector<Eigen::Vector2d> points_px;  // as BoardView
};

// The profile's [calibration] (docs/formats/profile.md).
struct CameraCalibrationLimits {
    int least_boards = 0;
    Radians least_tilt_spread{0.0};
    double most_focal_u_share = 0.0;   // standard uncertainty of the focal length over the focal length
    double most_aspect_error = 0.0;    // |focal x / focal y - 1|
    double board_outlier_ratio = 0.0;  // a frame's RMS over the median of the frames' RMS
    double least_coverage = 0.0;       // share of the picture inside at least one board
};

struct CalibratedBoard {
    std::string name;
    double rms_px = 0.0;    // root mean square of the distances between seen and projected points
    double worst_px = 0.0;  // the largest of them
    Radians tilt{0.0};      // between the board's normal and the optical axis
    Metres distance{0.0};   // of the board's first point along the optical axis
    bool outlier = false;
};

// Standard uncertainties as the residuals of the fit suggest them: what the board's own errors add is not in them.
struct LensUncertainty {
    double focal_px = 0.0;
    Eigen::Vector2d principal_point_px{0.0, 0.0};
    double k1 = 0.0;
    double k2 = 0.0;
    double p1 = 0.0;
    double p2 = 0.0;
    double k3 = 0.0;  // 0 where k3 was not fitted
};

struct CameraCalibration {
    Lens lens;  // one focal length: square pixels
    LensUncertainty u;
    double rms_px = 0.0;  // over all points of all frames
    // The two focal lengths where pixels need not be square: a check on that assumption.
    Eigen::Vector2d focal_xy_px{0.0, 0.0};
    Eigen::Vector2d focal_xy_u_px{0.0, 0.0};
    Radians tilt_spread{0.0};             // largest angle between the normals of two boards
    double coverage = 0.0;                // share of the picture inside at least one board
    double reach = 0.0;                   // farthest point from the middle of the picture over half its diagonal
    std::vector<CalibratedBoard> boards;  // in the order given
    std::vector<std::string> warnings;    // sentences: coverage, outliers, pixels that are not square
};

// Brown-Conrady lens by minimising the squared distances between seen and projected points over lens and board poses,
// started from the closed form of Z. Zhang, "A flexible new technique for camera calibration", IEEE TPAMI 22 (2000)
// 1330; both as OpenCV's calib3d implements them. k3 stays 0 unless `with_k3`.
//
// Throws Error(input) where the frames do not determine the lens: fewer than least_boards, all boards at nearly one
// tilt (parallel planes say the same about the focal length, however many), or a focal length less certain than
// most_focal_u_share. Every frame must hold shape.points() points.
CameraCalibration calibrate_camera(std::span<const BoardFrame> frames,
                                   const BoardShape& shape,
                                   int width_px,
                                   int height_px,
                                   bool with_k3,
                                   const CameraCalibrationLimits& limits);

}  // namespace heatrow
