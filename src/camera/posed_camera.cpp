#include "heatrow/camera/posed_camera.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>

namespace heatrow {

namespace {

using Eigen::Matrix3d;
using Eigen::Vector2d;
using Eigen::Vector3d;

Matrix3d about(const Vector3d& axis, Radians angle) {
    return Eigen::AngleAxisd(angle.value(), axis).toRotationMatrix();
}

// East, north, up from north, east, down; its own inverse.
Matrix3d enu_from_ned() {
    Matrix3d m;
    m << 0, 1, 0, 1, 0, 0, 0, 0, -1;
    return m;
}

// Body axes: forward, right, down.
Matrix3d body_from_camera() {
    Matrix3d m;
    m << 0, -1, 0, 1, 0, 0, 0, 0, 1;
    return m;
}

}  // namespace

Matrix3d site_from_camera(const FramePose& pose) {
    return enu_from_ned() * about(Vector3d::UnitZ(), pose.yaw) * about(Vector3d::UnitY(), pose.pitch) *
           about(Vector3d::UnitX(), pose.roll) * body_from_camera();
}

FramePose pose_from(const Matrix3d& site_from_camera, const Vector3d& position_in_site) {
    const Matrix3d ned_from_body = enu_from_ned() * site_from_camera * body_from_camera().transpose();
    FramePose pose;
    pose.position_in_site = position_in_site;
    const double sin_pitch = std::clamp(-ned_from_body(2, 0), -1.0, 1.0);
    const double cos_pitch = std::hypot(ned_from_body(2, 1), ned_from_body(2, 2));
    pose.pitch = Radians(std::atan2(sin_pitch, cos_pitch));
    constexpr double kNoHeading = 1e-9;
    if (cos_pitch < kNoHeading) {
        pose.yaw = Radians(std::atan2(-ned_from_body(0, 1), ned_from_body(1, 1)));
        pose.roll = Radians(0.0);
    } else {
        pose.yaw = Radians(std::atan2(ned_from_body(1, 0), ned_from_body(0, 0)));
        pose.roll = Radians(std::atan2(ned_from_body(2, 1), ned_from_body(2, 2)));
    }
    return pose;
}

Matrix3d turn_axes_in_site(const FramePose& pose) {
    const Matrix3d heading = enu_from_ned() * about(Vector3d::UnitZ(), pose.yaw);
    Matrix3d axes;
    axes.col(0) = -Vector3d::UnitZ();
    axes.col(1) = heading.col(1);
    axes.col(2) = (heading * about(Vector3d::UnitY(), pose.pitch)).col(0);
    // enu_from_ned is a rotation (determinant +1), so axes map as vectors do.
    return axes;
}

PosedCamera::PosedCamera(const Lens& lens, const FramePose& pose)
    : lens_(lens), pose_(pose), camera_from_site_rotation_(site_from_camera(pose).transpose()) {}

std::optional<Vector2d> PosedCamera::project(const Vector3d& point_in_site) const {
    return heatrow::project(lens_, to_camera(point_in_site));
}

Vector3d PosedCamera::ray_in_site(const Vector2d& pixel) const {
    return camera_from_site_rotation_.transpose() * ray_in_camera(lens_, pixel);
}

Radians PosedCamera::view_angle(const Vector3d& point_in_site, const Vector3d& normal_in_site) const {
    const Vector3d towards_camera = pose_.position_in_site - point_in_site;
    return Radians(std::atan2(towards_camera.cross(normal_in_site).norm(), towards_camera.dot(normal_in_site)));
}

Metres PosedCamera::ground_sample_distance(const Vector3d& point_in_site) const {
    return Metres(to_camera(point_in_site).z() / lens_.focal_px);
}

std::optional<std::array<Vector3d, 4>> PosedCamera::footprint(Metres height) const {
    const double right = lens_.width_px - 0.5;
    const double bottom = lens_.height_px - 0.5;
    const std::array<Vector2d, 4> pixels{
        Vector2d(-0.5, -0.5), Vector2d(right, -0.5), Vector2d(right, bottom), Vector2d(-0.5, bottom)};
    std::array<Vector3d, 4> points;
    const double drop = height.value() - pose_.position_in_site.z();
    for (std::size_t i = 0; i < pixels.size(); ++i) {
        const Vector3d ray = ray_in_site(pixels[i]);
        const double distance = drop / ray.z();
        if (!std::isfinite(distance) || distance <= 0.0) {
            return std::nullopt;
        }
        points[i] = pose_.position_in_site + distance * ray;
    }
    return points;
}

double smear_px(MetresPerSecond speed, Seconds time_constant, Metres ground_sample_distance) {
    return speed.value() * time_constant.value() / ground_sample_distance.value();
}

}  // namespace heatrow
