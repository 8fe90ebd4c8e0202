#include "heatrow/site/layout_fit.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Matchers::WithinAbs;
using Eigen::Vector3d;

namespace {

// Four level modules of 1 x 2 m at the corners of a site of 100 x 40 m.
Layout corner_modules() {
    Layout layout;
    for (const auto& [east, north] : {std::pair(0.0, 0.0), {100.0, 0.0}, {100.0, 40.0}, {0.0, 40.0}}) {
        Module module;
        module.id = "M" + std::to_string(layout.modules.size());
        module.azimuth = degrees(180.0);
        module.corners_in_site = {Vector3d(east, north + 2.0, 1.0),
                                  Vector3d(east + 1.0, north + 2.0, 1.0),
                                  Vector3d(east + 1.0, north, 1.0),
                                  Vector3d(east, north, 1.0)};
        layout.modules.push_back(module);
    }
    return layout;
}

// Where `truth` puts a corner.
SurveyedCorner surveyed(const Layout& layout, const LayoutShift& truth, int module, int corner) {
    SurveyedCorner one;
    one.name = "P" + std::to_string(module);
    one.module = module;
    one.corner = corner;
    one.point_in_site =
        truth.apply(layout.modules[static_cast<std::size_t>(module)].corners_in_site[static_cast<std::size_t>(corner)]);
    return one;
}

LayoutShift truth_of(double turn_deg) {
    LayoutShift truth;
    truth.pivot_in_site = {10.0, 5.0, 0.0};
    truth.turn = degrees(turn_deg);
    truth.shift_in_site = {1.5, -0.8, 0.4};
    return truth;
}

}  // namespace

TEST_CASE("layout fit: a shift and a turn are found from corners far apart", "[site]") {
    Layout layout = corner_modules();
    const LayoutShift truth = truth_of(0.7);
    const std::vector<SurveyedCorner> corners{surveyed(layout, truth, 0, 3), surveyed(layout, truth, 2, 1)};
    const Vector3d unseen = truth.apply(layout.modules[1].corners_in_site[0]);
    const auto shift = fit_layout_shift(layout, corners);
    REQUIRE(shift);
    CHECK_THAT(in_degrees(shift->turn), WithinAbs(0.7, 1e-9));
    move_layout(*shift, layout);
    for (const SurveyedCorner& corner : corners) {
        CHECK(corner_residual(layout, corner).norm() < 1e-9);
    }
    // Corners that nobody surveyed come along, and azimuths turn clockwise.
    CHECK((layout.modules[1].corners_in_site[0] - unseen).norm() < 1e-9);
    CHECK_THAT(in_degrees(layout.modules[1].azimuth), WithinAbs(180.7, 1e-9));
}

TEST_CASE("layout fit: corners close together turn nothing", "[site]") {
    const Layout layout = corner_modules();
    const LayoutShift truth = truth_of(0.7);
    const auto shift = fit_layout_shift(layout, {surveyed(layout, truth, 0, 3), surveyed(layout, truth, 0, 1)});
    REQUIRE(shift);
    CHECK(shift->turn.value() == 0.0);
    CHECK(shift->shift_in_site.head<2>().norm() > 1.0);
}

TEST_CASE("layout fit: a held corner is compared only, a height that is none moves nothing up", "[site]") {
    Layout layout = corner_modules();
    const LayoutShift truth = truth_of(0.0);
    std::vector<SurveyedCorner> corners{surveyed(layout, truth, 0, 3), surveyed(layout, truth, 2, 1)};
    corners.push_back(corners[0]);
    corners[2].point_in_site.x() += 3.0;
    corners[2].held = true;
    corners[0].has_height = false;
    corners[0].point_in_site.z() = 77.0;
    const auto shift = fit_layout_shift(layout, corners);
    REQUIRE(shift);
    CHECK_THAT(shift->shift_in_site.z(), WithinAbs(0.4, 1e-9));
    move_layout(*shift, layout);
    CHECK_THAT(corner_residual(layout, corners[2]).x(), WithinAbs(3.0, 1e-9));
    CHECK(corner_residual(layout, corners[0]).norm() < 1e-9);

    for (SurveyedCorner& corner : corners) {
        corner.held = true;
    }
    CHECK_FALSE(fit_layout_shift(layout, corners));
}
