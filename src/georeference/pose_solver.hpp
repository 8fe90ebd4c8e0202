// Six pose parameters from distances measured in the picture.
#pragma once

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/georeference/frame_lock.hpp"

#include <Eigen/Core>

#include <optional>
#include <vector>

namespace heatrow::detail {

using Vector6d = Eigen::Matrix<double, 6, 1>;

// One scalar observation: along `direction` in the picture, the point is seen `offset_px` beyond where the pose puts
// it.
struct PoseObservation {
    Eigen::Vector3d point_in_site;
    Eigen::Vector2d direction;
    double offset_px = 0.0;
    double sd_px = 1.0;
};

// A small change of a pose: position (m, site frame), then a turn (rad, about site axes).
FramePose moved(const FramePose& pose, const Vector6d& change);
// The change that leads from one pose to another.
Vector6d change_between(const FramePose& from, const FramePose& to);

// Derivative of a pixel by such a change; nothing where the point is not projected.
std::optional<Eigen::Matrix<double, 2, 6>> pixel_by_change(const PosedCamera& camera,
                                                           const Eigen::Vector3d& point_in_site);

// Covariances are kept as position, yaw, pitch, roll.
Matrix6d to_angles(const FramePose& pose, const Matrix6d& covariance_of_change);
Matrix6d from_angles(const FramePose& pose, const Matrix6d& covariance_of_angles);

struct PoseSolution {
    FramePose pose;
    Matrix6d covariance_of_change = Matrix6d::Zero();
    std::vector<double> residuals_px;  // left over, one an observation
    std::vector<double> weights;       // robust, 0 to 1
    double scale = 1.0;                // robust standard deviation of residual over sd
};

// One Gauss-Newton step about `pose` with Tukey's biweight, the prior holding the pose near `prior_pose`. With an empty
// robust limit (infinite) every observation counts in full. Nothing where the normal matrix cannot be solved.
std::optional<PoseSolution> solve_pose(const Lens& lens,
                                       const FramePose& pose,
                                       const FramePose& prior_pose,
                                       const Matrix6d& information,
                                       const std::vector<PoseObservation>& observations,
                                       double robust_limit);

}  // namespace heatrow::detail
