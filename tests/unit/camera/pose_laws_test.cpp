// What must hold for every pose and lens, tried on drawn ones; and the whole projection against OpenCV's.
#include "heatrow/camera/posed_camera.hpp"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <opencv2/calib3d.hpp>

#include <cmath>
#include <random>
#include <vector>

using namespace heatrow;
using Eigen::Matrix3d;
using Eigen::Vector2d;
using Eigen::Vector3d;

namespace {

constexpr int kDraws = 300;

class Draw {
  public:
    double between(double low, double high) { return std::uniform_real_distribution<double>(low, high)(engine_); }
    // Anything that flies or walks: any heading, from looking back a little to nearly the horizon.
    FramePose pose() {
        FramePose pose;
        pose.position_in_site = {between(-500.0, 500.0), between(-500.0, 500.0), between(5.0, 120.0)};
        pose.yaw = degrees(between(-180.0, 180.0));
        pose.pitch = degrees(between(-60.0, 85.0));
        pose.roll = degrees(between(-70.0, 70.0));
        return pose;
    }
    // Distortion as wide as thermal lenses have it.
    Lens lens() {
        Lens lens{640, 512, between(400.0, 1600.0), {0.0, 0.0}, 0.0, 0.0, 0.0, 0.0, 0.0};
        lens.principal_point_px = {319.5 + between(-20.0, 20.0), 255.5 + between(-20.0, 20.0)};
        lens.k1 = between(-0.3, 0.2);
        lens.k2 = between(-0.05, 0.15);
        lens.p1 = between(-0.002, 0.002);
        lens.p2 = between(-0.002, 0.002);
        lens.k3 = between(-0.02, 0.02);
        return lens;
    }
    Vector2d pixel() { return {between(0.0, 639.0), between(0.0, 511.0)}; }

  private:
    std::mt19937_64 engine_{20261126};
};

}  // namespace

TEST_CASE("pose laws: a pose's matrix is a rotation, and its angles come back", "[camera]") {
    Draw draw;
    for (int i = 0; i < kDraws; ++i) {
        const FramePose pose = draw.pose();
        const Matrix3d rotation = site_from_camera(pose);
        CHECK((rotation * rotation.transpose() - Matrix3d::Identity()).norm() < 1e-12);
        CHECK(std::abs(rotation.determinant() - 1.0) < 1e-12);
        const FramePose back = pose_from(rotation, pose.position_in_site);
        CHECK(std::abs(std::remainder(in_degrees(back.yaw - pose.yaw), 360.0)) < 1e-9);
        CHECK(std::abs(in_degrees(back.pitch - pose.pitch)) < 1e-9);
        CHECK(std::abs(in_degrees(back.roll - pose.roll)) < 1e-9);
    }
}

TEST_CASE("pose laws: a point goes to the camera and back", "[camera]") {
    Draw draw;
    for (int i = 0; i < kDraws; ++i) {
        const PosedCamera camera(draw.lens(), draw.pose());
        const Vector3d point(draw.between(-600.0, 600.0), draw.between(-600.0, 600.0), draw.between(-5.0, 20.0));
        const Vector3d in_camera = camera.to_camera(point);
        const Vector3d back = site_from_camera(camera.pose()) * in_camera + camera.position_in_site();
        CHECK((back - point).norm() < 1e-9);
        CHECK(std::abs(in_camera.norm() - (point - camera.position_in_site()).norm()) < 1e-9);
    }
}

TEST_CASE("pose laws: a pixel goes to the ground and back, distortion and all", "[camera]") {
    Draw draw;
    int on_ground = 0;
    for (int i = 0; i < kDraws; ++i) {
        const PosedCamera camera(draw.lens(), draw.pose());
        const Vector2d pixel = draw.pixel();
        const Vector3d ray = camera.ray_in_site(pixel);
        if (ray.z() > -0.05) {
            continue;  // above or near the horizon
        }
        // Beyond the fold of a polynomial no pixel is its own.
        const Vector3d in_camera = camera.camera_from_site_rotation() * ray;
        if (in_camera.head<2>().norm() / in_camera.z() > 0.99 * fold_radius(camera.lens())) {
            continue;
        }
        const Vector3d ground = camera.position_in_site() - (camera.position_in_site().z() / ray.z()) * ray;
        CHECK(std::abs(ground.z()) < 1e-9);
        const auto again = camera.project(ground);
        REQUIRE(again);
        CHECK((*again - pixel).norm() < 1e-6);
        ++on_ground;
    }
    CHECK(on_ground > kDraws / 3);
}

TEST_CASE("pose laws: projection from the site frame agrees with OpenCV's projectPoints", "[camera]") {
    Draw draw;
    int compared = 0;
    for (int i = 0; i < kDraws; ++i) {
        const PosedCamera camera(draw.lens(), draw.pose());
        const Lens& lens = camera.lens();
        const Matrix3d& rotation = camera.camera_from_site_rotation();
        cv::Matx33d matrix;
        for (int row = 0; row < 3; ++row) {
            for (int column = 0; column < 3; ++column) {
                matrix(row, column) = rotation(row, column);
            }
        }
        cv::Vec3d turn;
        cv::Rodrigues(matrix, turn);
        const Vector3d move = -rotation * camera.position_in_site();
        const Vector3d point = camera.position_in_site() + draw.between(3.0, 80.0) * camera.ray_in_site(draw.pixel());
        const auto pixel = camera.project(point);
        if (!pixel) {
            continue;  // beyond the fold, of which OpenCV does not know
        }
        std::vector<cv::Point2d> expected;
        cv::projectPoints(
            std::vector<cv::Point3d>{{point.x(), point.y(), point.z()}},
            turn,
            cv::Vec3d(move.x(), move.y(), move.z()),
            cv::Matx33d(
                lens.focal_px, 0, lens.principal_point_px.x(), 0, lens.focal_px, lens.principal_point_px.y(), 0, 0, 1),
            std::vector<double>{lens.k1, lens.k2, lens.p1, lens.p2, lens.k3},
            expected);
        CHECK(std::hypot(pixel->x() - expected[0].x, pixel->y() - expected[0].y) < 1e-3);
        ++compared;
    }
    CHECK(compared > 9 * kDraws / 10);
}
