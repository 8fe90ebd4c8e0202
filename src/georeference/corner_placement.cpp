#include "heatrow/georeference/corner_placement.hpp"

#include "heatrow/core/fixed_text.hpp"
#include "heatrow/core/homography.hpp"
#include "pose_solver.hpp"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <Eigen/SVD>

#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

namespace {

using detail::PoseObservation;
using Eigen::Matrix3d;
using Eigen::Vector2d;
using Eigen::Vector3d;

Rejection not_locked(const std::string& detail) {
    return {RejectReason::not_locked, detail};
}

// The plane that fits the points best: site_from_plane, its third axis the normal, its origin the mean.
struct FittedPlane {
    Matrix3d axes_in_site;
    Vector3d origin_in_site;
    double long_extent_m;
    double short_extent_m;
};

FittedPlane fit_plane(const std::vector<CornerPoint>& points) {
    Vector3d mean = Vector3d::Zero();
    for (const CornerPoint& point : points) {
        mean += point.point_in_site;
    }
    mean /= static_cast<double>(points.size());
    Eigen::Matrix3Xd offsets(3, static_cast<Eigen::Index>(points.size()));
    for (std::size_t i = 0; i < points.size(); ++i) {
        offsets.col(static_cast<Eigen::Index>(i)) = points[i].point_in_site - mean;
    }
    const Eigen::JacobiSVD<Eigen::MatrixXd> svd(offsets, Eigen::ComputeFullU);
    Matrix3d axes = svd.matrixU();
    if (axes.determinant() < 0.0) {
        axes.col(2) = -axes.col(2);
    }
    const double root = std::sqrt(static_cast<double>(points.size()));
    return {axes, mean, svd.singularValues()[0] / root, svd.singularValues()[1] / root};
}

FramePose pose_from_homography(const Matrix3d& pinhole_from_plane, const FittedPlane& plane) {
    Matrix3d m = pinhole_from_plane * (2.0 / (pinhole_from_plane.col(0).norm() + pinhole_from_plane.col(1).norm()));
    if (m(2, 2) < 0.0) {
        m = -m;  // the plane's origin lies in front of the camera
    }
    Matrix3d rotation;
    rotation << m.col(0), m.col(1), m.col(0).cross(m.col(1));
    const Eigen::JacobiSVD<Matrix3d> svd(rotation, Eigen::ComputeFullU | Eigen::ComputeFullV);
    Matrix3d camera_from_plane = svd.matrixU() * svd.matrixV().transpose();
    if (camera_from_plane.determinant() < 0.0) {
        Matrix3d u = svd.matrixU();
        u.col(2) = -u.col(2);
        camera_from_plane = u * svd.matrixV().transpose();
    }
    const Matrix3d site_from_camera_rotation = plane.axes_in_site * camera_from_plane.transpose();
    return pose_from(site_from_camera_rotation, plane.origin_in_site - site_from_camera_rotation * m.col(2));
}

std::optional<std::vector<PoseObservation>> residuals(const Lens& lens,
                                                      const FramePose& pose,
                                                      const std::vector<CornerPoint>& points,
                                                      double sd_px) {
    const PosedCamera camera(lens, pose);
    std::vector<PoseObservation> observations;
    for (const CornerPoint& point : points) {
        const std::optional<Vector2d> pixel = camera.project(point.point_in_site);
        if (!pixel) {
            return std::nullopt;
        }
        const Vector2d off = point.pixel - *pixel;
        observations.push_back({point.point_in_site, Vector2d::UnitX(), off.x(), sd_px});
        observations.push_back({point.point_in_site, Vector2d::UnitY(), off.y(), sd_px});
    }
    return observations;
}

double rms_of(const std::vector<PoseObservation>& observations) {
    double squares = 0.0;
    for (const PoseObservation& observation : observations) {
        squares += observation.offset_px * observation.offset_px;
    }
    // Of a point's distance, not of one coordinate.
    return std::sqrt(2.0 * squares / static_cast<double>(observations.size()));
}

}  // namespace

tl::expected<LockedFrame, Rejection> place_by_corner_points(const Lens& lens,
                                                            const FramePrior& prior,
                                                            const CornerOptions& options) {
    const std::vector<CornerPoint>& points = prior.corner_points;
    constexpr std::size_t kLeastPoints = 4;
    if (points.size() < kLeastPoints) {
        return tl::unexpected(not_locked(std::to_string(points.size()) +
                                         " corner points, 4 needed; add corners of modules that the frame shows"));
    }
    const FittedPlane plane = fit_plane(points);
    constexpr double kOnALine = 1e-2;
    if (!(plane.short_extent_m > kOnALine * plane.long_extent_m)) {
        return tl::unexpected(not_locked("the corner points lie on a line (spread " +
                                         fixed_text(plane.long_extent_m, 3) + " m by " +
                                         fixed_text(plane.short_extent_m, 3) + " m); add a corner off that line"));
    }
    std::vector<Vector2d> in_plane;
    std::vector<Vector2d> pinhole;
    for (const CornerPoint& point : points) {
        in_plane.emplace_back(plane.axes_in_site.leftCols<2>().transpose() *
                              (point.point_in_site - plane.origin_in_site));
        pinhole.emplace_back(ray_in_camera(lens, point.pixel).hnormalized());
    }
    const std::optional<Matrix3d> start = homography(in_plane, pinhole);
    if (!start) {
        return tl::unexpected(
            not_locked("three of the corner points lie on a line and the rest do not fix the pose; add a corner"));
    }

    LockedFrame placed;
    placed.pose = pose_from_homography(*start, plane);
    constexpr int kMostIterations = 30;
    for (int i = 0; i < kMostIterations; ++i) {
        const std::optional<std::vector<PoseObservation>> observations =
            residuals(lens, placed.pose, points, options.click_sd_px);
        if (!observations) {
            return tl::unexpected(
                not_locked("the corner points cannot all lie in front of the camera; check their modules and corners"));
        }
        const std::optional<detail::PoseSolution> solution = detail::solve_pose(
            lens, placed.pose, placed.pose, Matrix6d::Zero(), *observations, std::numeric_limits<double>::infinity());
        if (!solution) {
            return tl::unexpected(not_locked("the corner points do not fix the pose; add corners further apart"));
        }
        const double step = detail::change_between(placed.pose, solution->pose).norm();
        placed.pose = solution->pose;
        placed.covariance = detail::to_angles(solution->pose, solution->covariance_of_change);
        constexpr double kConverged = 1e-10;
        if (step < kConverged) {
            break;
        }
    }
    const std::optional<std::vector<PoseObservation>> left = residuals(lens, placed.pose, points, options.click_sd_px);
    if (!left) {
        return tl::unexpected(
            not_locked("the corner points cannot all lie in front of the camera; check their modules and corners"));
    }
    placed.rms_px = rms_of(*left);
    placed.edges_used = static_cast<int>(points.size());
    placed.share_found = 1.0;
    if (!(placed.rms_px <= options.maximum_rms_px)) {
        return tl::unexpected(not_locked("the corner points miss the layout by " + fixed_text(placed.rms_px, 2) +
                                         " px rms, " + fixed_text(options.maximum_rms_px, 2) +
                                         " px allowed; check modules, corners and the lens"));
    }
    return placed;
}

}  // namespace heatrow
