#include "heatrow/georeference/corner_placement.hpp"

#include "heatrow/camera/posed_camera.hpp"
#include "support/module_field.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

using namespace heatrow;
using namespace heatrow::test;
using Eigen::Vector2d;
using Eigen::Vector3d;

namespace {

// In front of the table, looking north at it and somewhat down.
FramePose handheld() {
    FramePose pose;
    pose.position_in_site = {3.0, -5.0, 3.2};
    pose.yaw = degrees(5.0);
    pose.pitch = degrees(70.0);
    pose.roll = degrees(2.0);
    return pose;
}

Lens handheld_lens() {
    Lens lens{320, 240, 300.0, {161.0, 118.0}, -0.2, 0.05, 0.0005, -0.0003, 0.0};
    return lens;
}

FramePrior with_points(const std::vector<Vector3d>& points, double noise_px) {
    const PosedCamera camera(handheld_lens(), handheld());
    std::mt19937_64 engine(3);
    std::normal_distribution<double> normal;
    FramePrior prior;
    for (const Vector3d& point : points) {
        const auto pixel = camera.project(point);
        REQUIRE(pixel);
        prior.corner_points.push_back({*pixel + noise_px * Vector2d(normal(engine), normal(engine)), point});
    }
    return prior;
}

std::vector<Vector3d> table_corners() {
    const Layout layout = make_field(FieldOptions{});
    const auto& first = layout.modules[1].corners_in_site;
    const auto& last = layout.modules[4].corners_in_site;
    return {first[0], last[1], last[2], first[3]};
}

}  // namespace

TEST_CASE("corner placement: four exact corners give the pose", "[georeference]") {
    const auto placed = place_by_corner_points(handheld_lens(), with_points(table_corners(), 0.0));
    REQUIRE(placed);
    CHECK((placed->pose.position_in_site - handheld().position_in_site).norm() < 1e-6);
    CHECK(std::abs((placed->pose.yaw - handheld().yaw).value()) < 1e-7);
    CHECK(std::abs((placed->pose.pitch - handheld().pitch).value()) < 1e-7);
    CHECK(std::abs((placed->pose.roll - handheld().roll).value()) < 1e-7);
    CHECK(placed->rms_px < 1e-6);
    CHECK(placed->edges_used == 4);
}

TEST_CASE("corner placement: clicks half a pixel off move the outlines by about as much", "[georeference]") {
    std::vector<Vector3d> points = table_corners();
    const Layout layout = make_field(FieldOptions{});
    points.push_back(layout.modules[2].corners_in_site[2]);
    points.push_back(layout.modules[3].corners_in_site[1]);
    const auto placed = place_by_corner_points(handheld_lens(), with_points(points, 0.5));
    REQUIRE(placed);
    const PosedCamera truth(handheld_lens(), handheld());
    const PosedCamera found(handheld_lens(), placed->pose);
    for (const Vector3d& point : points) {
        CHECK((*truth.project(point) - *found.project(point)).norm() < 1.2);
    }
    const Vector3d off = placed->pose.position_in_site - handheld().position_in_site;
    for (int axis = 0; axis < 3; ++axis) {
        CHECK(std::abs(off[axis]) < 4.0 * std::sqrt(placed->covariance(axis, axis)));
    }
}

TEST_CASE("corner placement: refuses too few, collinear and contradicting points, with the figures", "[georeference]") {
    std::vector<Vector3d> points = table_corners();
    const auto reason = [](const FramePrior& prior) {
        const auto placed = place_by_corner_points(handheld_lens(), prior);
        REQUIRE_FALSE(placed);
        CHECK(placed.error().reason == RejectReason::not_locked);
        return placed.error().detail;
    };
    FramePrior three = with_points(points, 0.0);
    three.corner_points.pop_back();
    CHECK_THAT(reason(three), Catch::Matchers::Contains("3 corner points, 4 needed"));

    const Layout layout = make_field(FieldOptions{});
    std::vector<Vector3d> line;
    for (const std::size_t i : {1U, 2U, 3U, 4U}) {
        line.push_back(layout.modules[i].corners_in_site[0]);
    }
    CHECK_THAT(reason(with_points(line, 0.0)), Catch::Matchers::Contains("lie on a line"));
    line[3] = layout.modules[4].corners_in_site[3];
    CHECK_THAT(reason(with_points(line, 0.0)), Catch::Matchers::Contains("on a line"));

    FramePrior swapped = with_points(points, 0.0);
    std::swap(swapped.corner_points[0].pixel, swapped.corner_points[1].pixel);
    reason(swapped);

    FramePrior moved = with_points(points, 0.0);
    moved.corner_points[2].pixel += Vector2d(40.0, 25.0);
    CHECK_THAT(reason(moved), Catch::Matchers::Contains("px rms"));
}
