#include "heatrow/georeference/control.hpp"

#include "support/module_field.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using namespace heatrow::test;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Eigen::Vector2d;
using Eigen::Vector3d;

namespace {

struct Scene {
    Layout layout;
    LayoutIndex site;
    explicit Scene(int modules_up = 1) : layout(make_field(options(modules_up))), site(layout) {}

    static FieldOptions options(int modules_up) {
        FieldOptions field;
        field.modules_along = 20;
        field.modules_up = modules_up;
        field.lower_edge_m = 1.0;
        return field;
    }
};

ControlMark mark_of(const LayoutIndex& site, int module) {
    ControlMark mark;
    mark.name = site.module(module).id;
    mark.module = module;
    mark.point_in_site = site.centre_in_site(module);
    return mark;
}

// The camera as it is, and as a lock that slipped has it.
FramePose over(const Vector3d& place, double yaw_deg) {
    FramePose pose = looking_down(place.x(), place.y(), 18.0);
    pose.yaw = degrees(yaw_deg);
    pose.pitch = degrees(3.0);
    return pose;
}

}  // namespace

TEST_CASE("control: a known module tells by how many modules a lock slipped, wherever on it one points",
          "[georeference]") {
    const Scene scene(2);
    const LayoutIndex& site = scene.site;
    const Lens lens = small_lens();
    const int module = *scene.layout.find_module(scene.layout.modules[21].id);
    const Vector3d up = site.pitch_across();
    for (const double yaw : {0.0, 91.0, 180.0}) {
        const FramePose truth = over(site.centre_in_site(module), yaw);
        for (const LatticeOffset slip : {LatticeOffset{}, LatticeOffset{3, 0}, LatticeOffset{-2, 1}}) {
            FramePose locked = truth;
            locked.position_in_site += slip.along * site.pitch_along() + slip.across * up;
            // A third of the module's width beside its middle, and up its slope.
            const Vector3d pointed = site.centre_in_site(module) + 0.33 * site.pitch_along() + 0.3 * up;
            ControlMark mark = mark_of(site, module);
            mark.pixel = *PosedCamera(lens, truth).project(pointed);
            const auto offset = offset_by(site, PosedCamera(lens, locked), mark);
            INFO("yaw " << yaw << ", slip " << slip.along << ", " << slip.across);
            REQUIRE(offset);
            CHECK(*offset == -slip);
        }
    }
}

TEST_CASE("control: a pixel on a rim and a module in another row settle nothing", "[georeference]") {
    const Scene scene;
    const LayoutIndex& site = scene.site;
    const Lens lens = small_lens();
    const PosedCamera camera(lens, over(site.centre_in_site(5), 0.0));
    ControlMark mark = mark_of(site, 5);
    // Half way to the neighbour: in the gap.
    mark.pixel = *camera.project(site.centre_in_site(5) + 0.5 * site.pitch_along());
    const auto on_rim = offset_by(site, camera, mark);
    REQUIRE_FALSE(on_rim);
    CHECK_THAT(on_rim.error(), Contains("rim"));
    // Rows are one module up: no step leads from row to row.
    ControlMark other_row = mark_of(site, 25);
    other_row.pixel = *camera.project(site.centre_in_site(5));
    const auto across = offset_by(site, camera, other_row);
    REQUIRE_FALSE(across);
    CHECK_THAT(across.error(), Contains("across its row"));
}

TEST_CASE("control: a surveyed point tells the slip if it is surveyed well enough", "[georeference]") {
    const Scene scene;
    const LayoutIndex& site = scene.site;
    const Lens lens = small_lens();
    const FramePose truth = over(site.centre_in_site(8), 45.0);
    FramePose locked = truth;
    locked.position_in_site += 2.0 * site.pitch_along();
    ControlMark mark;
    mark.point_in_site = site.centre_in_site(8) + Vector3d(1.3, -2.0, 0.0);
    mark.point_in_site.z() = 0.1;
    mark.pixel = *PosedCamera(lens, truth).project(mark.point_in_site);
    mark.sd_m = 0.03;
    const auto offset = offset_by(site, PosedCamera(lens, locked), mark);
    REQUIRE(offset);
    CHECK(*offset == LatticeOffset{-2, 0});

    // 0.18 m and more do not tell modules 1.01 m apart: six standard deviations would reach the next one.
    mark.sd_m = 0.18;
    CHECK_THAT(offset_by(site, PosedCamera(lens, locked), mark).error(), Contains("survey it better"));
    mark.sd_m = 0.03;
    mark.point_in_site += 0.45 * site.pitch_along();
    CHECK_THAT(offset_by(site, PosedCamera(lens, locked), mark).error(), Contains("0.4") && Contains("datum"));
}

TEST_CASE("control: residuals in pixels and metres", "[georeference]") {
    const Scene scene;
    const LayoutIndex& site = scene.site;
    const Lens lens = small_lens();
    const FramePose pose = looking_down(site.centre_in_site(8).x(), site.centre_in_site(8).y(), 17.0);
    const PosedCamera camera(lens, pose);
    ControlMark point;
    point.point_in_site = {pose.position_in_site.x(), pose.position_in_site.y(), 0.0};
    // Straight below: the middle of the picture. 10 px to the right and 5 px up look 10 and 5 pixels east and north.
    const Vector2d middle = *camera.project(point.point_in_site);
    point.pixel = middle + Vector2d(10.0, -5.0);
    const auto residual = residual_of(site, camera, point);
    REQUIRE(residual);
    const double pixel_m = camera.ground_sample_distance(point.point_in_site).value();
    CHECK((residual->pixel - Vector2d(10.0, -5.0)).norm() < 1e-9);
    CHECK((residual->metres - pixel_m * Vector2d(10.0, 5.0)).norm() < 1e-6);

    // Anywhere on a module is right; beside it what counts is how far from its outline.
    ControlMark mark = mark_of(site, 8);
    mark.pixel = *camera.project(site.centre_in_site(8)) + Vector2d(4.0, 7.0);
    CHECK(residual_of(site, camera, mark)->pixel.norm() == 0.0);
    const Vector2d left =
        0.5 * (*camera.project(site.module(8).corners_in_site[0]) + *camera.project(site.module(8).corners_in_site[3]));
    mark.pixel = left - Vector2d(6.0, 0.0);
    CHECK_THAT(residual_of(site, camera, mark)->pixel.norm(), WithinAbs(6.0, 0.1));
    CHECK_THAT(residual_of(site, camera, mark)->metres.norm(), WithinAbs(6.0 * pixel_m, 0.02));
}
