#include "pose_solver.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <Eigen/LU>
#include <Eigen/SVD>

#include <algorithm>
#include <cmath>

namespace heatrow::detail {

namespace {

using Eigen::Matrix3d;
using Eigen::Vector3d;
using Row6d = Eigen::Matrix<double, 1, 6>;

Matrix3d cross_matrix(const Vector3d& v) {
    Matrix3d m;
    m << 0.0, -v.z(), v.y(), v.z(), 0.0, -v.x(), -v.y(), v.x(), 0.0;
    return m;
}

// Turn vector from changes of yaw, pitch, roll, and back. At the horizon yaw and roll share an axis; the
// pseudo-inverse then splits a turn evenly between them.
Matrix6d change_from_angles(const FramePose& pose) {
    Matrix6d m = Matrix6d::Identity();
    m.bottomRightCorner<3, 3>() = turn_axes_in_site(pose);
    return m;
}

Matrix6d angles_from_change(const FramePose& pose) {
    const Eigen::JacobiSVD<Matrix3d> svd(turn_axes_in_site(pose), Eigen::ComputeFullU | Eigen::ComputeFullV);
    constexpr double kSingular = 1e-3;
    Vector3d inverse = Vector3d::Zero();
    for (int i = 0; i < 3; ++i) {
        const double value = svd.singularValues()[i];
        inverse[i] = value > kSingular ? 1.0 / value : 0.0;
    }
    Matrix6d m = Matrix6d::Identity();
    m.bottomRightCorner<3, 3>() = svd.matrixV() * inverse.asDiagonal() * svd.matrixU().transpose();
    return m;
}

double median_of_magnitudes(std::vector<double> values) {
    if (values.empty()) {
        return 0.0;
    }
    for (double& value : values) {
        value = std::abs(value);
    }
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

double tukey(double normalised, double limit) {
    if (!std::isfinite(limit)) {
        return 1.0;
    }
    const double share = normalised / limit;
    return std::abs(share) < 1.0 ? (1.0 - share * share) * (1.0 - share * share) : 0.0;
}

}  // namespace

FramePose moved(const FramePose& pose, const Vector6d& change) {
    const Vector3d turn = change.tail<3>();
    const double angle = turn.norm();
    const Matrix3d rotation =
        angle > 0.0 ? Eigen::AngleAxisd(angle, turn / angle).toRotationMatrix() : Matrix3d(Matrix3d::Identity());
    return pose_from(rotation * site_from_camera(pose), pose.position_in_site + change.head<3>());
}

Vector6d change_between(const FramePose& from, const FramePose& to) {
    const Eigen::AngleAxisd turn(Matrix3d(site_from_camera(to) * site_from_camera(from).transpose()));
    Vector6d change;
    change << to.position_in_site - from.position_in_site, turn.angle() * turn.axis();
    return change;
}

std::optional<Eigen::Matrix<double, 2, 6>> pixel_by_change(const PosedCamera& camera, const Vector3d& point_in_site) {
    const Vector3d from_camera = point_in_site - camera.position_in_site();
    const Matrix3d& rotation = camera.camera_from_site_rotation();
    const std::optional<ProjectedPoint> projected = project_with_derivative(camera.lens(), rotation * from_camera);
    if (!projected) {
        return std::nullopt;
    }
    // x_in_camera = rotation * exp(-[turn]) (point - position)
    const Eigen::Matrix<double, 2, 3> by_point = projected->pixel_by_point * rotation;
    Eigen::Matrix<double, 2, 6> derivative;
    derivative << -by_point, by_point * cross_matrix(from_camera);
    return derivative;
}

Matrix6d to_angles(const FramePose& pose, const Matrix6d& covariance_of_change) {
    const Matrix6d angles = angles_from_change(pose);
    return angles * covariance_of_change * angles.transpose();
}

Matrix6d from_angles(const FramePose& pose, const Matrix6d& covariance_of_angles) {
    const Matrix6d change = change_from_angles(pose);
    return change * covariance_of_angles * change.transpose();
}

std::optional<PoseSolution> solve_pose(const Lens& lens,
                                       const FramePose& pose,
                                       const FramePose& prior_pose,
                                       const Matrix6d& information,
                                       const std::vector<PoseObservation>& observations,
                                       double robust_limit) {
    const PosedCamera camera(lens, pose);
    std::vector<Row6d> rows;
    std::vector<double> targets;  // in units of sd
    std::vector<double> sds;
    rows.reserve(observations.size());
    PoseSolution solution;
    solution.residuals_px.assign(observations.size(), kNaN);
    solution.weights.assign(observations.size(), 0.0);
    std::vector<std::size_t> numbers;
    for (std::size_t i = 0; i < observations.size(); ++i) {
        const std::optional<Eigen::Matrix<double, 2, 6>> by_change =
            pixel_by_change(camera, observations[i].point_in_site);
        if (!by_change) {
            continue;
        }
        rows.emplace_back(observations[i].direction.transpose() * *by_change / observations[i].sd_px);
        targets.push_back(observations[i].offset_px / observations[i].sd_px);
        sds.push_back(observations[i].sd_px);
        numbers.push_back(i);
    }
    const Vector6d deviation = change_between(prior_pose, pose);
    std::vector<double> residuals = targets;
    std::vector<double> weights(rows.size(), 1.0);
    Vector6d change = Vector6d::Zero();
    Matrix6d normal = information;
    const int rounds = std::isfinite(robust_limit) ? 8 : 1;
    for (int round = 0; round < rounds; ++round) {
        if (std::isfinite(robust_limit)) {
            // The scale never falls below the stated sd: a frame of perfect edges must not reject its own noise.
            solution.scale = std::max(1.0, 1.4826 * median_of_magnitudes(residuals));
            for (std::size_t i = 0; i < rows.size(); ++i) {
                weights[i] = tukey(residuals[i] / solution.scale, robust_limit);
            }
        }
        normal = information;
        Vector6d right_side = -information * deviation;
        for (std::size_t i = 0; i < rows.size(); ++i) {
            const double weight = weights[i] / (solution.scale * solution.scale);
            if (weight > 0.0) {
                normal.selfadjointView<Eigen::Lower>().rankUpdate(rows[i].transpose(), weight);
                right_side += weight * targets[i] * rows[i].transpose();
            }
        }
        normal.triangularView<Eigen::StrictlyUpper>() = normal.transpose();
        const Eigen::LDLT<Matrix6d> solver(normal);
        if (solver.info() != Eigen::Success || !solver.isPositive()) {
            return std::nullopt;
        }
        change = solver.solve(right_side);
        if (!change.allFinite()) {
            return std::nullopt;
        }
        for (std::size_t i = 0; i < rows.size(); ++i) {
            residuals[i] = targets[i] - rows[i].dot(change);
        }
    }
    solution.covariance_of_change = normal.inverse();
    solution.pose = moved(pose, change);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        solution.residuals_px[numbers[i]] = residuals[i] * sds[i];
        solution.weights[numbers[i]] = weights[i];
    }
    return solution;
}

}  // namespace heatrow::detail
