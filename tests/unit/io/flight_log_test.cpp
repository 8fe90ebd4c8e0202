#include "heatrow/io/flight_log.hpp"

#include "support/check_error.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;
using std::chrono::milliseconds;

namespace {

const std::string kHeads = "time,longitude,latitude,altitude,yaw,pitch,roll\n";

FlightLog parse(const std::string& text, const PoseSettings& settings = {}) {
    return parse_flight_log(text, "flight.csv", settings);
}

UtcTime at(const char* text) {
    return UtcTime(parse_iso8601(text)->written.time_since_epoch());
}

}  // namespace

TEST_CASE("flight log: poses between rows lie on a line, angles go the shorter way") {
    const FlightLog log = parse(kHeads +
                                "2026-06-17T11:00:00,-3.650,40.120,30,350,0,-2\n"
                                "2026-06-17T11:00:01,-3.649,40.122,32,20,4,2\n");
    const WrittenPose quarter = log.at(at("2026-06-17T11:00:00.250"), milliseconds(2000));
    CHECK(quarter.values[0] == Approx(-3.64975));
    CHECK(quarter.values[1] == Approx(40.1205));
    CHECK(quarter.values[2] == Approx(30.5));
    CHECK(quarter.values[3] == Approx(357.5));
    CHECK(quarter.values[4] == Approx(1.0));
    CHECK(quarter.values[5] == Approx(-1.0));
    CHECK(log.at(at("2026-06-17T11:00:01"), milliseconds(2000)).values[2] == 32.0);
    CHECK(std::isnan(log.at(at("2026-06-17T10:59:59"), milliseconds(2000)).values[0]));
    CHECK(std::isnan(log.at(at("2026-06-17T11:00:02"), milliseconds(2000)).values[0]));
    CHECK(std::isnan(log.at(at("2026-06-17T11:00:00.250"), milliseconds(500)).values[0]));
}

TEST_CASE("flight log: rows without fix or with empty fields give no pose about them") {
    const FlightLog log = parse(kHeads +
                                "2026-06-17T11:00:00,0,0,30,0,0,0\n"
                                "2026-06-17T11:00:01,-3.649,40.122,32,,4,2\n");
    CHECK(std::isnan(log.at(at("2026-06-17T11:00:00.500"), milliseconds(2000)).values[0]));
    CHECK(std::isnan(log.at(at("2026-06-17T11:00:01"), milliseconds(2000)).values[3]));
}

TEST_CASE("flight log: its own columns and clock") {
    PoseSettings settings;
    settings.columns = {{"time", "stamp"}, {"yaw", "gimbal heading"}};
    settings.flight_log_clock.scale = Clock::FixedOffset{std::chrono::hours(2)};
    const FlightLog log = parse(
        "stamp;longitude;latitude;altitude;yaw;gimbal heading;pitch;roll\n17.06.2026 "
        "13:00:00;-3,65;40,12;30;5;180;0;0\n",
        settings);
    REQUIRE(log.rows.size() == 1);
    CHECK(log.rows[0].time == at("2026-06-17T11:00:00"));
    CHECK(log.rows[0].pose.values[3] == 180.0);
    CHECK_THAT(message_of([] { parse("time,longitude,latitude,altitude,yaw,pitch\n2026-06-17T11:00:00,1,1,1,1,1\n"); }),
               Contains("no column 'roll'") && Contains("[poses] columns"));
    CHECK_THAT(message_of([] { parse(kHeads + "2026-06-17T11:00:00,1,1,high,1,1,1\n"); }),
               Contains("line 2") && Contains("'high'"));
}
