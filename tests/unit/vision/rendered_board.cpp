#include "rendered_board.hpp"

#include "heatrow/core/units.hpp"

#include <Eigen/Geometry>

#include <cmath>
#include <random>

namespace heatrow::testing {
namespace {

constexpr int kRaysAlongPixel = 5;
constexpr double kDiscRadiusShare = 0.3;  // of the spacing

Eigen::Vector2d middle_of_board(const BoardShape& shape) {
    return {0.5 * (shape.columns - 1) * shape.spacing.value(), 0.5 * (shape.rows - 1) * shape.spacing.value()};
}

// Whether a point of the board's plane is dark; what is beside the board is light.
bool is_dark(const BoardShape& shape, const Eigen::Vector2d& at_m) {
    const Eigen::Vector2d at = at_m / shape.spacing.value();
    if (shape.pattern == BoardPattern::circles) {
        const Eigen::Vector2d nearest(std::round(at.x()), std::round(at.y()));
        return nearest.x() >= 0 && nearest.y() >= 0 && nearest.x() < shape.columns && nearest.y() < shape.rows &&
               (at - nearest).norm() < kDiscRadiusShare;
    }
    const auto column = static_cast<int>(std::floor(at.x())) + 1;
    const auto row = static_cast<int>(std::floor(at.y())) + 1;
    const bool on_board = column >= 0 && row >= 0 && column <= shape.columns && row <= shape.rows;
    return on_board && (column + row) % 2 == 0;
}

double counts_along(const BoardScene& scene, const BoardPose& pose, const Eigen::Vector3d& ray) {
    const Eigen::Vector3d normal = pose.camera_from_board.col(2);
    const double depth = normal.dot(pose.board_in_camera) / normal.dot(ray);
    const Eigen::Vector3d in_board = pose.camera_from_board.transpose() * (depth * ray - pose.board_in_camera);
    const bool dark = depth > 0.0 && is_dark(scene.shape, in_board.head<2>()) == scene.dark_fields_warm;
    const double across = in_board.x() / (scene.shape.columns * scene.shape.spacing.value());
    const double middle = 0.5 * (scene.dark_counts + scene.light_counts);
    const double contrast = 1.0 - scene.fading * std::clamp(across, 0.0, 1.0);
    return middle + contrast * ((dark ? scene.dark_counts : scene.light_counts) - middle);
}

}  // namespace

Lens wide_lens() {
    Lens lens;
    lens.width_px = 320;
    lens.height_px = 256;
    lens.focal_px = 330.0;
    lens.principal_point_px = {163.0, 124.5};
    lens.k1 = -0.22;
    lens.k2 = 0.06;
    lens.p1 = 0.0008;
    lens.p2 = -0.0005;
    return lens;
}

BoardPose pose_of(
    const BoardScene& scene, double tilt_x_deg, double tilt_y_deg, double distance_m, double x_share, double y_share) {
    BoardPose pose;
    pose.camera_from_board = (Eigen::AngleAxisd(degrees(tilt_x_deg).value(), Eigen::Vector3d::UnitX()) *
                              Eigen::AngleAxisd(degrees(tilt_y_deg).value(), Eigen::Vector3d::UnitY()))
                                 .toRotationMatrix();
    const Eigen::Vector2d centre(0.5 * (scene.lens.width_px - 1) * (1.0 + x_share),
                                 0.5 * (scene.lens.height_px - 1) * (1.0 + y_share));
    const Eigen::Vector3d ray = ray_in_camera(scene.lens, centre);
    const Eigen::Vector2d middle = middle_of_board(scene.shape);
    pose.board_in_camera =
        ray * (distance_m / ray.z()) - pose.camera_from_board * Eigen::Vector3d(middle.x(), middle.y(), 0.0);
    return pose;
}

std::vector<BoardPose> varied_poses(const BoardScene& scene) {
    return {pose_of(scene, 0, 0, 1.1, 0, 0),
            pose_of(scene, 30, 0, 1.1, 0, 0),
            pose_of(scene, -30, 5, 1.1, 0, 0),
            pose_of(scene, 5, 30, 1.1, 0, 0),
            pose_of(scene, 0, -35, 1.1, 0, 0),
            pose_of(scene, 20, 20, 1.25, -0.4, -0.38),
            pose_of(scene, -20, 20, 1.25, 0.4, -0.38),
            pose_of(scene, 20, -20, 1.25, -0.4, 0.38),
            pose_of(scene, -20, -20, 1.25, 0.4, 0.38),
            pose_of(scene, 10, -25, 1.2, 0.4, 0),
            pose_of(scene, 25, 10, 1.2, -0.4, 0),
            pose_of(scene, -25, 0, 1.2, 0, 0.35),
            pose_of(scene, 15, 15, 1.2, 0, -0.35),
            pose_of(scene, 0, 0, 0.9, 0, 0)};
}

std::vector<Eigen::Vector2d> true_points(const BoardScene& scene, const BoardPose& pose) {
    std::vector<Eigen::Vector2d> points;
    for (const Eigen::Vector2d& point : points_on_board(scene.shape)) {
        points.push_back(
            project(scene.lens,
                    pose.camera_from_board * Eigen::Vector3d(point.x(), point.y(), 0.0) + pose.board_in_camera)
                .value());
    }
    return points;
}

Image<float> render(const BoardScene& scene, const BoardPose& pose, std::uint64_t seed) {
    Image<float> picture(scene.lens.width_px, scene.lens.height_px);
    std::mt19937_64 random(seed);
    std::normal_distribution<double> noise(0.0, scene.noise_counts);
    const auto ray_at = [&](double x, double y) -> Eigen::Vector3d {
        const Eigen::Vector3d ray = ray_in_camera(scene.lens, {x, y});
        return ray / ray.z();
    };
    for (int y = 0; y < picture.height(); ++y) {
        for (int x = 0; x < picture.width(); ++x) {
            // Within a pixel the lens is linear.
            const Eigen::Vector3d ray = ray_at(x, y);
            const Eigen::Vector3d right = ray_at(x + 0.5, y) - ray;
            const Eigen::Vector3d down = ray_at(x, y + 0.5) - ray;
            double sum = 0.0;
            for (int i = 0; i < kRaysAlongPixel * kRaysAlongPixel; ++i) {
                const double across = 2.0 * ((i % kRaysAlongPixel + 0.5) / kRaysAlongPixel - 0.5);
                const double along = 2.0 * ((i / kRaysAlongPixel + 0.5) / kRaysAlongPixel - 0.5);
                sum += counts_along(scene, pose, ray + across * right + along * down);
            }
            picture.view()(x, y) =
                static_cast<float>(std::round(sum / (kRaysAlongPixel * kRaysAlongPixel) + noise(random)));
        }
    }
    return picture;
}

}  // namespace heatrow::testing
