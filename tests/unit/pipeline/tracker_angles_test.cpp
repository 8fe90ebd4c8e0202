#include "tracker_angles.hpp"

#include "support/check_error.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;

namespace {

// One table of one flat module, 2 m across an axis towards south.
Layout one_table() {
    Layout layout;
    layout.origin = {-4.7312, 39.2051, Metres(0.0)};
    layout.types.emplace_back();
    Module module;
    module.table = 0;
    module.corners_in_site = {Eigen::Vector3d(-1.0, 0.0, 1.5),
                              Eigen::Vector3d(-1.0, -1.0, 1.5),
                              Eigen::Vector3d(1.0, -1.0, 1.5),
                              Eigen::Vector3d(1.0, 0.0, 1.5)};
    // seen from above: counter-clockwise corners would show the back
    std::swap(module.corners_in_site[1], module.corners_in_site[3]);
    layout.modules.push_back(module);
    layout.tables.push_back({"T1", {0}});
    return layout;
}

TableAxes axes(std::optional<Metres> pitch) {
    TableAxis axis;
    axis.tracker = "T1";
    axis.azimuth = degrees(180.0);
    axis.limit = degrees(55.0);
    axis.row_pitch = pitch;
    return {axis};
}

TrackerSettings by_sun() {
    TrackerSettings settings;
    settings.angles = TrackerSettings::Angles::sun;
    return settings;
}

constexpr UtcTime kMorning = std::chrono::sys_days(std::chrono::year(2026) / 6 / 17) + std::chrono::hours(8);

}  // namespace

TEST_CASE("tracker angles: by the sun they face east in the morning and west in the afternoon", "[pipeline]") {
    const TrackerAngles angles(by_sun(), axes(Metres(5.6)), one_table());
    const auto at = [&](int hours) { return in_degrees(angles.at(kMorning + std::chrono::hours(hours)).front()); };
    CHECK(at(0) < -30.0);
    CHECK(at(0) >= -55.0);
    CHECK(at(1) > at(0));
    CHECK(std::abs(at(4)) < 20.0);
    CHECK(at(8) > 30.0);
    CHECK(std::isnan(at(16)));  // midnight
    CHECK(angles.near(0, kMorning).value() == angles.at(kMorning).front().value());
}

TEST_CASE("tracker angles: turning back needs the pitch of the axes", "[pipeline]") {
    CHECK_THAT(message_of([] { TrackerAngles(by_sun(), axes(std::nullopt), one_table()); }),
               Contains("axis_pitch") && Contains("\"T1\""));
    TrackerSettings plain = by_sun();
    plain.backtracking = false;
    CHECK_NOTHROW(TrackerAngles(plain, axes(std::nullopt), one_table()));
}
