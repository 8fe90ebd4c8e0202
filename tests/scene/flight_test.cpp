// Errors of the log, terrain, trackers, and evidence without pixels.
#include "flight.hpp"

#include "flight_evidence.hpp"
#include "scene_fixture.hpp"
#include "tracker.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

using namespace scene;

TEST_CASE("flight: the wandering bias stays within its limit and does wander", "[scene]") {
    SceneSpec spec = scene_test::quiet_scene();
    FlightSpec& flight = spec.flights.front();
    flight.frame_spacing_m = 0.02;
    flight.position_noise_m = 0.0;
    flight.position_walk_m = 20.0;
    flight.position_walk_limit_m = 6.0;
    const Plant plant = build_plant(spec);
    double least = 1e9;
    double most = 0.0;
    for (const Shot& shot : plan_shots(spec, plant, 5)) {
        const double off = (shot.logged.position_in_site - shot.pose.position_in_site).head<2>().norm();
        least = std::min(least, off);
        most = std::max(most, off);
    }
    CHECK(most <= 6.0 + 1e-9);
    CHECK(most - least > 0.1);
}

TEST_CASE("flight: misunderstood poses, lost fixes, clocks and several flights are logged as described", "[scene]") {
    SceneSpec spec = scene_test::quiet_scene();
    FlightSpec flight = spec.flights.front();
    flight.pause_s = 100.0;
    flight.convention = PoseConvention::nadir_minus_90;
    flight.attitude_noise_deg = 0.0;
    flight.height_offset_m = 100.0;
    flight.height_bias_m = 0.0;
    flight.clock_ahead_s = 30.0;
    flight.missing_fix_share = 1.0;
    spec.flights.push_back(flight);
    const auto shots = plan_shots(spec, build_plant(spec), 5);
    const std::size_t half = shots.size() / 2;
    CHECK(shots[half].flight == 1);
    CHECK(shots[half].time_s - shots[half - 1].time_s == Approx(100.0).margin(0.01));
    CHECK(shots[half].stamped_s - shots[half].time_s == Approx(30.0));
    CHECK(shots[half].fix == Fix::missing);
    CHECK(shots[half - 1].fix == Fix::good);
    CHECK(heatrow::in_degrees(shots[half].logged.pitch - shots[half].pose.pitch) == Approx(-90.0));
    CHECK(shots[half].logged.position_in_site.z() - shots[half].pose.position_in_site.z() == Approx(100.0).margin(0.2));
}

TEST_CASE("plant: tables step up with the terrain", "[scene]") {
    SceneSpec spec = scene_test::quiet_scene();
    const Plant flat = build_plant(spec);
    spec.terrain = {0.05, 0.1};
    const Plant sloped = build_plant(spec);
    for (std::size_t i = 0; i < flat.tables.size(); ++i) {
        const Face& face = flat.tables[i].face;
        const Eigen::Vector3d middle = face.at(0.5 * face.width_m, 0.0);
        CHECK(sloped.tables[i].face.origin.z() - face.origin.z() ==
              Approx(0.05 * middle.x() + 0.1 * middle.y()).margin(1e-9));
    }
}

TEST_CASE("tracker: faces the sun, and turns back until rows do not shade each other", "[scene]") {
    const TrackerTurn noon = tracker_turn(180.0, 60.0, 180.0, 0.4, 55.0, true);
    CHECK(noon.tilt_deg == Approx(0.0).margin(1e-9));
    // Sun due west at 45 degrees: 45 degrees to the west; rows at 0.4 of their distance do not shade yet.
    const TrackerTurn west = tracker_turn(270.0, 45.0, 180.0, 0.4, 55.0, true);
    CHECK(west.tilt_deg == Approx(45.0));
    CHECK(west.azimuth_deg == Approx(270.0));
    CHECK(tracker_turn(90.0, 45.0, 180.0, 0.4, 55.0, true).azimuth_deg == Approx(90.0));
    // Low sun: the shadow of one row just touches the next. Its length along the ground is its extent over
    // sin(elevation).
    const double elevation = 10.0 * 3.14159265358979 / 180.0;
    const TrackerTurn low = tracker_turn(270.0, 10.0, 180.0, 0.4, 55.0, true);
    const double tilt = low.tilt_deg * 3.14159265358979 / 180.0;
    CHECK(0.4 * (std::cos(tilt) + std::sin(tilt) / std::tan(elevation)) == Approx(1.0));
    CHECK(tracker_turn(270.0, 10.0, 180.0, 0.4, 55.0, false).tilt_deg == Approx(55.0));
}

TEST_CASE("flights: the same number gives the same evidence, and the truth stays out of it", "[scene]") {
    EvidenceStatistics statistics;
    statistics.module_spread_k = 0.6;
    statistics.view_noise_k = 0.05;
    statistics.fix_noise_m = 0.03;
    statistics.bias_m = 2.0;
    const FlightEvidence flight = simulate_flight(statistics, 3, 17);
    const std::string line = evidence_line(flight, 17);
    CHECK(line == evidence_line(simulate_flight(statistics, 3, 17), 17));
    CHECK(line != evidence_line(simulate_flight(statistics, 4, 17), 17));
    CHECK(line.find("true") == std::string::npos);
    // Nothing is overlooked or imagined here: a frame shows what stands on the site.
    for (const EvidenceFrame& frame : flight.frames) {
        for (std::size_t row = 0; row < frame.means_k.size(); ++row) {
            const EvidenceRow& site = flight.site[static_cast<std::size_t>(frame.true_row) + row];
            for (int place = 0; place < frame.places; ++place) {
                const int there = frame.true_place + place;
                const bool stands = there >= site.first && there < site.first + site.count &&
                                    std::ranges::count(site.holes, there) == 0;
                CHECK(std::isnan(frame.means_k[row][static_cast<std::size_t>(place)]) == !stands);
            }
        }
    }
}
