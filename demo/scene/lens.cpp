#include "lens.hpp"

#include <Eigen/Dense>

#include <cmath>

namespace scene {
namespace {

// Normalised ideal coordinates to distorted ones (Brown 1971; k1, k2, p1, p2, k3).
Eigen::Vector2d distort(const std::array<double, 5>& d, const Eigen::Vector2d& p) {
    const double x = p.x();
    const double y = p.y();
    const double r2 = x * x + y * y;
    const double radial = 1.0 + r2 * (d[0] + r2 * (d[1] + r2 * d[4]));
    return {x * radial + 2.0 * d[2] * x * y + d[3] * (r2 + 2.0 * x * x),
            y * radial + d[2] * (r2 + 2.0 * y * y) + 2.0 * d[3] * x * y};
}

Eigen::Matrix2d distort_jacobian(const std::array<double, 5>& d, const Eigen::Vector2d& p) {
    const double x = p.x();
    const double y = p.y();
    const double r2 = x * x + y * y;
    const double radial = 1.0 + r2 * (d[0] + r2 * (d[1] + r2 * d[4]));
    const double slope = d[0] + r2 * (2.0 * d[1] + 3.0 * r2 * d[4]);  // d radial / d r2
    Eigen::Matrix2d jacobian;
    jacobian(0, 0) = radial + 2.0 * x * x * slope + 2.0 * d[2] * y + 6.0 * d[3] * x;
    jacobian(0, 1) = 2.0 * x * y * slope + 2.0 * d[2] * x + 2.0 * d[3] * y;
    jacobian(1, 0) = 2.0 * x * y * slope + 2.0 * d[2] * x + 2.0 * d[3] * y;
    jacobian(1, 1) = radial + 2.0 * y * y * slope + 6.0 * d[2] * y + 2.0 * d[3] * x;
    return jacobian;
}

}  // namespace

Eigen::Matrix3d site_from_camera(const heatrow::FramePose& pose) {
    const double cy = std::cos(pose.yaw.value());
    const double sy = std::sin(pose.yaw.value());
    const double cp = std::cos(pose.pitch.value());
    const double sp = std::sin(pose.pitch.value());
    const double cr = std::cos(pose.roll.value());
    const double sr = std::sin(pose.roll.value());
    // Body axes (forward, right, down) in north-east-down, written out: Rz(yaw) Ry(pitch) Rx(roll).
    const Eigen::Vector3d forward(cy * cp, sy * cp, -sp);
    const Eigen::Vector3d right(cy * sp * sr - sy * cr, sy * sp * sr + cy * cr, cp * sr);
    const Eigen::Vector3d down(cy * sp * cr + sy * sr, sy * sp * cr - cy * sr, cp * cr);
    const auto east_north_up = [](const Eigen::Vector3d& ned) { return Eigen::Vector3d(ned.y(), ned.x(), -ned.z()); };
    Eigen::Matrix3d axes;
    axes.col(0) = east_north_up(right);     // image right
    axes.col(1) = -east_north_up(forward);  // image down: away from the image top
    axes.col(2) = east_north_up(down);      // line of sight
    return axes;
}

Eigen::Vector2d ray_of_pixel(const CameraSpec& camera, const Eigen::Vector2d& pixel) {
    const Eigen::Vector2d distorted = (pixel - camera.principal_point_px) / camera.focal_px;
    Eigen::Vector2d ray = distorted;
    for (int i = 0; i < 20; ++i) {
        const Eigen::Vector2d miss = distort(camera.distortion, ray) - distorted;
        if (miss.squaredNorm() < 1e-24) {
            break;
        }
        ray -= distort_jacobian(camera.distortion, ray).inverse() * miss;
    }
    return ray;
}

std::optional<Eigen::Vector2d> pixel_of_point(const CameraSpec& camera, const Eigen::Vector3d& point_in_camera) {
    if (point_in_camera.z() <= 1e-6) {
        return std::nullopt;
    }
    const Eigen::Vector2d ideal(point_in_camera.x() / point_in_camera.z(), point_in_camera.y() / point_in_camera.z());
    return camera.principal_point_px + camera.focal_px * distort(camera.distortion, ideal);
}

}  // namespace scene
