#include "heatrow/sun/tracker.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Matchers::WithinAbs;

namespace {

Tracker north_south() {
    Tracker tracker;
    tracker.axis_azimuth = degrees(180.0);
    tracker.backtracks = false;
    return tracker;
}

// Length of a row's shadow, cast along the slope of the ground across the axis, in units of the distance of the rows.
double shadow(const Tracker& tracker, double rotation, double sun_rotation) {
    // Collector of width gcr at `rotation`, sun at `sun_rotation` in the plane across the axis: the shadow on a line of
    // collectors at the distance 1 is gcr cos(sun - rotation) / cos(sun).
    return tracker.ground_coverage * std::cos(sun_rotation - rotation) / std::cos(sun_rotation);
}

}  // namespace

TEST_CASE("tracker: at noon it lies flat, in the morning it faces east, in the afternoon west", "[sun]") {
    const Tracker tracker = north_south();
    CHECK_THAT(in_degrees(tracker_state(tracker, degrees(30.0), degrees(180.0)).rotation), WithinAbs(0.0, 1e-9));
    const TrackerState morning = tracker_state(tracker, degrees(50.0), degrees(90.0));
    CHECK_THAT(in_degrees(morning.plane.tilt), WithinAbs(50.0, 1e-9));
    CHECK_THAT(in_degrees(morning.plane.azimuth), WithinAbs(90.0, 1e-9));
    const TrackerState evening = tracker_state(tracker, degrees(50.0), degrees(270.0));
    CHECK_THAT(in_degrees(evening.plane.azimuth), WithinAbs(270.0, 1e-9));
    CHECK_THAT(in_degrees(evening.rotation), WithinAbs(-in_degrees(morning.rotation), 1e-9));
}

TEST_CASE("tracker: true tracking has the least incidence of all rotations", "[sun]") {
    Tracker tracker = north_south();
    tracker.axis_tilt = degrees(10.0);
    tracker.axis_azimuth = degrees(165.0);
    tracker.maximum_angle = degrees(90.0);
    for (const double azimuth : {100.0, 150.0, 220.0, 260.0}) {
        const TrackerState state = tracker_state(tracker, degrees(55.0), degrees(azimuth));
        const double best = cos_incidence(state.plane, degrees(55.0), degrees(azimuth));
        for (const double other : {-3.0, -0.5, 0.5, 3.0}) {
            const PlaneOrientation plane = tracker_plane(tracker, state.rotation + degrees(other));
            CHECK(cos_incidence(plane, degrees(55.0), degrees(azimuth)) < best);
        }
    }
}

TEST_CASE("tracker: the limit holds to both sides", "[sun]") {
    Tracker tracker = north_south();
    tracker.maximum_angle = degrees(45.0);
    CHECK_THAT(std::abs(in_degrees(tracker_state(tracker, degrees(80.0), degrees(90.0)).rotation)),
               WithinAbs(45.0, 1e-9));
    CHECK_THAT(std::abs(in_degrees(tracker_state(tracker, degrees(80.0), degrees(270.0)).rotation)),
               WithinAbs(45.0, 1e-9));
}

TEST_CASE("tracker: backtracking throws no shadow on the next row, and begins only where one would fall", "[sun]") {
    Tracker tracker = north_south();
    tracker.backtracks = true;
    tracker.maximum_angle = degrees(90.0);
    tracker.ground_coverage = 0.4;
    for (double zenith = 5.0; zenith < 89.0; zenith += 4.0) {
        const Radians sun_zenith = degrees(zenith);
        const double sun_rotation = sun_zenith.value();  // sun in the plane across the axis
        const double rotation = std::abs(tracker_state(tracker, sun_zenith, degrees(90.0)).rotation.value());
        CHECK(shadow(tracker, rotation, sun_rotation) <= 1.0 + 1e-9);
        if (shadow(tracker, sun_rotation, sun_rotation) <= 1.0) {
            CHECK_THAT(rotation, WithinAbs(sun_rotation, 1e-9));
        } else {
            CHECK_THAT(shadow(tracker, rotation, sun_rotation), WithinAbs(1.0, 1e-9));
            CHECK(rotation < sun_rotation);
        }
    }
}

TEST_CASE("tracker: below the horizon there is no rotation", "[sun]") {
    const TrackerState night = tracker_state(north_south(), degrees(95.0), degrees(90.0));
    CHECK_FALSE(night.rotation.is_known());
    CHECK(night.plane.tilt.value() == 0.0);
}
