#include "heatrow/camera/lens.hpp"

#include <Eigen/Geometry>
#include <Eigen/LU>

#include <algorithm>
#include <cmath>
#include <limits>

namespace heatrow {

namespace {

using Eigen::Matrix2d;
using Eigen::Vector2d;
using Eigen::Vector3d;

// Derivative of r (1 + k1 r^2 + k2 r^4 + k3 r^6) by r, with s = r^2.
double radial_slope(const Lens& lens, double s) {
    return 1.0 + s * (3.0 * lens.k1 + s * (5.0 * lens.k2 + s * 7.0 * lens.k3));
}

// Whether the polynomial grows all the way from the axis to s = r^2. The cheap bound settles almost every point.
bool before_fold(const Lens& lens, double s) {
    const double falling =
        s * (3.0 * std::max(-lens.k1, 0.0) + s * (5.0 * std::max(-lens.k2, 0.0) + s * 7.0 * std::max(-lens.k3, 0.0)));
    if (falling < 1.0) {
        return true;
    }
    const double fold = fold_radius(lens);
    return s < fold * fold;
}

Vector2d distort(const Lens& lens, const Vector2d& x) {
    const double s = x.squaredNorm();
    const double radial = 1.0 + s * (lens.k1 + s * (lens.k2 + s * lens.k3));
    const double xy = x.x() * x.y();
    return {x.x() * radial + 2.0 * lens.p1 * xy + lens.p2 * (s + 2.0 * x.x() * x.x()),
            x.y() * radial + lens.p1 * (s + 2.0 * x.y() * x.y()) + 2.0 * lens.p2 * xy};
}

Matrix2d distortion_derivative(const Lens& lens, const Vector2d& x) {
    const double s = x.squaredNorm();
    const double radial = 1.0 + s * (lens.k1 + s * (lens.k2 + s * lens.k3));
    const double radial_by_s = lens.k1 + s * (2.0 * lens.k2 + s * 3.0 * lens.k3);
    const double cross = 2.0 * x.x() * x.y() * radial_by_s + 2.0 * lens.p1 * x.x() + 2.0 * lens.p2 * x.y();
    Matrix2d derivative;
    derivative << radial + 2.0 * x.x() * x.x() * radial_by_s + 2.0 * lens.p1 * x.y() + 6.0 * lens.p2 * x.x(), cross,
        cross, radial + 2.0 * x.y() * x.y() * radial_by_s + 6.0 * lens.p1 * x.y() + 2.0 * lens.p2 * x.x();
    return derivative;
}

}  // namespace

double fold_radius(const Lens& lens) {
    // The slope is a cubic in s = r^2 with value 1 at 0: walk to its first change of sign, then halve the step. No
    // lens sees beyond r = 10 (84 deg off the axis).
    constexpr double kFarthest = 100.0;
    constexpr int kSteps = 4000;
    double low = 0.0;
    for (int i = 1; i <= kSteps; ++i) {
        // Denser near the axis, where pictures lie.
        const double share = static_cast<double>(i) / kSteps;
        double high = kFarthest * share * share;
        if (radial_slope(lens, high) > 0.0) {
            low = high;
            continue;
        }
        for (int halving = 0; halving < 60; ++halving) {
            const double middle = 0.5 * (low + high);
            (radial_slope(lens, middle) > 0.0 ? low : high) = middle;
        }
        return std::sqrt(low);
    }
    return std::numeric_limits<double>::infinity();
}

std::optional<Vector2d> project(const Lens& lens, const Vector3d& x_in_camera) {
    if (!(x_in_camera.z() > 0.0)) {
        return std::nullopt;
    }
    const Vector2d x = x_in_camera.head<2>() / x_in_camera.z();
    if (!before_fold(lens, x.squaredNorm())) {
        return std::nullopt;
    }
    return Vector2d(lens.focal_px * distort(lens, x) + lens.principal_point_px);
}

std::optional<ProjectedPoint> project_with_derivative(const Lens& lens, const Vector3d& x_in_camera) {
    const std::optional<Vector2d> pixel = project(lens, x_in_camera);
    if (!pixel) {
        return std::nullopt;
    }
    const double z = x_in_camera.z();
    const Vector2d x = x_in_camera.head<2>() / z;
    Eigen::Matrix<double, 2, 3> pinhole_by_point;
    pinhole_by_point << 1.0 / z, 0.0, -x.x() / z, 0.0, 1.0 / z, -x.y() / z;
    return ProjectedPoint{*pixel, lens.focal_px * distortion_derivative(lens, x) * pinhole_by_point};
}

Vector3d ray_in_camera(const Lens& lens, const Vector2d& pixel) {
    const Vector2d target = (pixel - lens.principal_point_px) / lens.focal_px;
    Vector2d x = target;
    constexpr int kMostIterations = 30;
    constexpr double kSmallestStep = 1e-14;
    const auto hold_before_fold = [&lens, &x] {
        if (!before_fold(lens, x.squaredNorm())) {
            x *= fold_radius(lens) / x.norm() * (1.0 - 1e-9);
        }
    };
    hold_before_fold();
    for (int i = 0; i < kMostIterations; ++i) {
        const Vector2d step = distortion_derivative(lens, x).inverse() * (target - distort(lens, x));
        x += step;
        hold_before_fold();
        if (step.squaredNorm() < kSmallestStep * kSmallestStep) {
            break;
        }
    }
    return x.homogeneous().normalized();
}

bool inside_picture(const Lens& lens, const Vector2d& pixel, double margin_px) {
    const double low = margin_px - 0.5;
    return pixel.x() >= low && pixel.y() >= low && pixel.x() <= lens.width_px - 1.0 - low &&
           pixel.y() <= lens.height_px - 1.0 - low;
}

}  // namespace heatrow
