#include "heatrow/camera/posed_camera.hpp"

#include "heatrow/camera/ground_box.hpp"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Matchers::WithinAbs;
using Eigen::Matrix3d;
using Eigen::Vector2d;
using Eigen::Vector3d;

namespace {

FramePose pose_of(double yaw, double pitch, double roll) {
    FramePose pose;
    pose.position_in_site = {3.0, -2.0, 20.0};
    pose.yaw = degrees(yaw);
    pose.pitch = degrees(pitch);
    pose.roll = degrees(roll);
    return pose;
}

Lens lens_640() {
    return {640, 512, 1125.0, {319.5, 255.5}, 0.0, 0.0, 0.0, 0.0, 0.0};
}

}  // namespace

TEST_CASE("posed camera: the numeric example of docs/conventions.md", "[camera]") {
    Matrix3d expected;
    // yaw 30, pitch 10, roll 5 deg, worked out apart from this program by multiplying the matrices written there:
    // rows are east, north, up of the image's right, down and forward axes.
    expected << 0.870297, -0.492404, 0.011015,  //
        -0.484991, -0.852869, 0.193389,         //
        -0.085832, -0.173648, -0.981060;
    const Matrix3d rotation = site_from_camera(pose_of(30.0, 10.0, 5.0));
    INFO(rotation);
    CHECK((rotation - expected).cwiseAbs().maxCoeff() < 1e-6);
    CHECK_THAT(rotation.determinant(), WithinAbs(1.0, 1e-12));
}

TEST_CASE("posed camera: angles mean what the conventions say", "[camera]") {
    const Vector3d right = Vector3d::UnitX();
    const Vector3d image_top = -Vector3d::UnitY();
    const Vector3d forward = Vector3d::UnitZ();
    const Matrix3d down = site_from_camera(pose_of(0.0, 0.0, 0.0));
    CHECK((down * forward - Vector3d(0, 0, -1)).norm() < 1e-12);
    CHECK((down * image_top - Vector3d(0, 1, 0)).norm() < 1e-12);
    CHECK((down * right - Vector3d(1, 0, 0)).norm() < 1e-12);
    const Matrix3d to_east = site_from_camera(pose_of(90.0, 0.0, 0.0));
    CHECK((to_east * image_top - Vector3d(1, 0, 0)).norm() < 1e-12);
    const Matrix3d to_horizon = site_from_camera(pose_of(90.0, 90.0, 0.0));
    CHECK((to_horizon * forward - Vector3d(1, 0, 0)).norm() < 1e-12);
    const Matrix3d rolled = site_from_camera(pose_of(0.0, 0.0, 10.0));
    CHECK((rolled * right).z() < -0.1);  // right side down
}

TEST_CASE("posed camera: angles come back from the rotation", "[camera]") {
    for (const double yaw : {-170.0, 0.0, 33.0}) {
        for (const double pitch : {-30.0, 0.0, 45.0, 85.0}) {
            for (const double roll : {-20.0, 0.0, 5.0}) {
                const FramePose pose = pose_of(yaw, pitch, roll);
                const FramePose back = pose_from(site_from_camera(pose), pose.position_in_site);
                CHECK_THAT(in_degrees(back.yaw), WithinAbs(yaw, 1e-9));
                CHECK_THAT(in_degrees(back.pitch), WithinAbs(pitch, 1e-9));
                CHECK_THAT(in_degrees(back.roll), WithinAbs(roll, 1e-9));
            }
        }
    }
    const FramePose horizon = pose_of(40.0, 90.0, 10.0);
    const Matrix3d rotation = site_from_camera(horizon);
    CHECK((site_from_camera(pose_from(rotation, {0, 0, 0})) - rotation).norm() < 1e-9);
}

TEST_CASE("posed camera: turn axes are the derivatives of the rotation by the angles", "[camera]") {
    const FramePose pose = pose_of(25.0, 40.0, -7.0);
    const Matrix3d axes = turn_axes_in_site(pose);
    const Matrix3d rotation = site_from_camera(pose);
    constexpr double kStep = 1e-6;
    for (int angle = 0; angle < 3; ++angle) {
        FramePose changed = pose;
        (angle == 0 ? changed.yaw : angle == 1 ? changed.pitch : changed.roll) += Radians(kStep);
        const Eigen::AngleAxisd turn(Matrix3d(site_from_camera(changed) * rotation.transpose()));
        CHECK((turn.angle() / kStep * turn.axis() - axes.col(angle)).norm() < 1e-5);
    }
}

TEST_CASE("posed camera: ground sample distance, footprint and smear", "[camera]") {
    // 12 um pitch and 13.5 mm: 2.667 cm at 30 m, and a field of 31.756 x 25.639 deg (shared check value 5.1).
    Lens lens{640, 512, 13.5 / 0.012, {319.5, 255.5}, 0.0, 0.0, 0.0, 0.0, 0.0};
    FramePose pose;
    pose.position_in_site = {0.0, 0.0, 30.0};
    const PosedCamera camera(lens, pose);
    CHECK_THAT(camera.ground_sample_distance({0, 0, 0}).value(), WithinAbs(0.02667, 1e-5));
    const auto corners = camera.footprint(Metres(0.0));
    REQUIRE(corners);
    CHECK_THAT((*corners)[1].x(), WithinAbs(30.0 * std::tan(degrees(31.756 / 2).value()), 1e-3));
    CHECK_THAT((*corners)[1].y(), WithinAbs(30.0 * std::tan(degrees(25.639 / 2).value()), 1e-3));
    CHECK_THAT((*corners)[3].x(), WithinAbs(-(*corners)[1].x(), 1e-9));
    pose.pitch = degrees(89.0);
    CHECK_FALSE(PosedCamera(lens, pose).footprint(Metres(0.0)));
    const GroundBox everywhere = ground_box(PosedCamera(lens, pose), Metres(0.0), Metres(1.0), Metres(0.0));
    CHECK(std::isinf(everywhere.high.x()));
    // 3 m/s, 10 ms, 3 cm: one pixel (shared check value 5.4).
    CHECK_THAT(smear_px(MetresPerSecond(3.0), Seconds(0.010), Metres(0.03)), WithinAbs(1.0, 1e-12));
}

TEST_CASE("posed camera: view angle counts from the normal", "[camera]") {
    FramePose pose;
    pose.position_in_site = {0.0, 0.0, 10.0};
    const PosedCamera camera(lens_640(), pose);
    CHECK_THAT(in_degrees(camera.view_angle({0, 0, 0}, {0, 0, 1})), WithinAbs(0.0, 1e-9));
    CHECK_THAT(in_degrees(camera.view_angle({10, 0, 0}, {0, 0, 1})), WithinAbs(45.0, 1e-9));
    CHECK_THAT(in_degrees(camera.view_angle({0, 0, 0}, {0, 0, -1})), WithinAbs(180.0, 1e-9));
}

TEST_CASE("posed camera: the ground box holds what the picture shows", "[camera]") {
    Lens lens = lens_640();
    lens.k1 = -0.2;
    const PosedCamera camera(lens, pose_of(37.0, 20.0, 4.0));
    const GroundBox box = ground_box(camera, Metres(0.0), Metres(2.0), Metres(0.0));
    for (int x = 0; x < 640; x += 39) {
        for (int y = 0; y < 512; y += 51) {
            const Vector3d ray = camera.ray_in_site({x, y});
            for (const double height : {0.0, 1.0, 2.0}) {
                const Vector3d point =
                    camera.position_in_site() + (height - camera.position_in_site().z()) / ray.z() * ray;
                CHECK((point.head<2>().array() >= box.low.array()).all());
                CHECK((point.head<2>().array() <= box.high.array()).all());
            }
        }
    }
}
