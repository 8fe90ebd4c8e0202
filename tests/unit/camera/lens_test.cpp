#include "heatrow/camera/lens.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <opencv2/calib3d.hpp>

#include <cmath>
#include <random>
#include <vector>

using namespace heatrow;
using Catch::Matchers::WithinAbs;
using Eigen::Vector2d;
using Eigen::Vector3d;

namespace {

Lens distorted_lens() {
    Lens lens{640, 512, 1125.0, {322.0, 251.0}, -0.25, 0.08, 0.001, -0.0005, 0.02};
    return lens;
}

}  // namespace

TEST_CASE("lens: the worked case of the Brown-Conrady model", "[camera]") {
    // shared check value: x = 0.3, y = 0.2 gives r2 = 0.13, radial 0.968852
    Lens lens{0, 0, 1.0, {0.0, 0.0}, -0.25, 0.08, 0.001, -0.0005, 0.0};
    const auto pixel = project(lens, {0.3, 0.2, 1.0});
    REQUIRE(pixel);
    CHECK_THAT(pixel->x(), WithinAbs(0.2906206, 1e-7));
    CHECK_THAT(pixel->y(), WithinAbs(0.1939204, 1e-7));
}

TEST_CASE("lens: projection agrees with OpenCV", "[camera]") {
    const Lens lens = distorted_lens();
    std::vector<cv::Point3d> points;
    for (double x = -0.25; x <= 0.25; x += 0.05) {
        for (double y = -0.2; y <= 0.2; y += 0.05) {
            points.emplace_back(x * 7.0, y * 7.0, 7.0);
        }
    }
    const cv::Matx33d camera(
        lens.focal_px, 0, lens.principal_point_px.x(), 0, lens.focal_px, lens.principal_point_px.y(), 0, 0, 1);
    const std::vector<double> distortion{lens.k1, lens.k2, lens.p1, lens.p2, lens.k3};
    std::vector<cv::Point2d> expected;
    cv::projectPoints(points, cv::Vec3d(0, 0, 0), cv::Vec3d(0, 0, 0), camera, distortion, expected);
    for (std::size_t i = 0; i < points.size(); ++i) {
        const auto pixel = project(lens, {points[i].x, points[i].y, points[i].z});
        REQUIRE(pixel);
        CHECK_THAT(pixel->x(), WithinAbs(expected[i].x, 1e-3));
        CHECK_THAT(pixel->y(), WithinAbs(expected[i].y, 1e-3));
    }
}

TEST_CASE("lens: a line of sight projects back onto its pixel", "[camera]") {
    const Lens lens = distorted_lens();
    for (int x = -1; x <= lens.width_px; x += 21) {
        for (int y = -1; y <= lens.height_px; y += 19) {
            const Vector3d ray = ray_in_camera(lens, {x, y});
            CHECK_THAT(ray.norm(), WithinAbs(1.0, 1e-12));
            const auto pixel = project(lens, 12.3 * ray);
            REQUIRE(pixel);
            CHECK_THAT((*pixel - Vector2d(x, y)).norm(), WithinAbs(0.0, 1e-7));
        }
    }
}

TEST_CASE("lens: nothing behind the camera or beyond the fold", "[camera]") {
    Lens lens{640, 512, 500.0, {319.5, 255.5}, -0.3, 0.0, 0.0, 0.0, 0.0};
    CHECK_FALSE(project(lens, {0.1, 0.1, -1.0}));
    CHECK_FALSE(project(lens, {0.1, 0.1, 0.0}));
    // r (1 - 0.3 r^2) turns at r = sqrt(1 / 0.9)
    CHECK_THAT(fold_radius(lens), WithinAbs(std::sqrt(1.0 / 0.9), 1e-9));
    CHECK(project(lens, {1.05, 0.0, 1.0}));
    CHECK_FALSE(project(lens, {1.06, 0.0, 1.0}));
    CHECK(std::isinf(fold_radius(Lens{640, 512, 500.0, {0, 0}, 0.1, 0.0, 0.0, 0.0, 0.0})));
    // A pixel beyond the fold still gets a line of sight.
    CHECK(ray_in_camera(lens, {5000.0, 255.5}).allFinite());
}

TEST_CASE("lens: the derivative is that of the projection", "[camera]") {
    const Lens lens = distorted_lens();
    const Vector3d point(1.1, -0.7, 5.0);
    const auto projected = project_with_derivative(lens, point);
    REQUIRE(projected);
    constexpr double kStep = 1e-6;
    for (int axis = 0; axis < 3; ++axis) {
        Vector3d forward = point;
        Vector3d backward = point;
        forward[axis] += kStep;
        backward[axis] -= kStep;
        const Vector2d numeric = (*project(lens, forward) - *project(lens, backward)) / (2.0 * kStep);
        CHECK_THAT((numeric - projected->pixel_by_point.col(axis)).norm(), WithinAbs(0.0, 1e-4));
    }
}
