#include "heatrow/sun/solar_position.hpp"

#include "heatrow/sun/solar_geometry.hpp"
#include "heatrow/sun/spa.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Matchers::WithinAbs;

namespace {

UtcTime at(int year, unsigned month, unsigned day, int hour, int minute = 0) {
    const std::chrono::year_month_day date{std::chrono::year(year), std::chrono::month(month), std::chrono::day(day)};
    return std::chrono::sys_days(date) + std::chrono::hours(hour) + std::chrono::minutes(minute);
}

double minutes_between(UtcTime a, UtcTime b) {
    return static_cast<double>((b - a).count()) / 60000.0;
}

}  // namespace

TEST_CASE("solar position: at transit the sun stands in the meridian, at its highest", "[sun]") {
    const Place place{degrees(40.1), degrees(-3.65), Metres(650.0)};
    const SunDay day = sun_day(at(2026, 6, 17, 9), place);
    const SolarPosition noon = solar_position(day.transit, place);
    CHECK_THAT(in_degrees(noon.azimuth), WithinAbs(180.0, 0.01));
    for (const int minutes : {-10, 10}) {
        const SolarPosition beside = solar_position(day.transit + std::chrono::minutes(minutes), place);
        CHECK(beside.true_zenith > noon.true_zenith);
    }
    CHECK_THAT(in_degrees(day.transit_elevation), WithinAbs(90.0 - in_degrees(noon.true_zenith), 1e-9));
}

TEST_CASE("solar position: at rise and set the centre is 50 arcminutes low", "[sun]") {
    for (const double latitude : {-60.0, -20.0, 0.0, 40.0, 65.0}) {
        const Place place{degrees(latitude), degrees(12.0), Metres(0.0)};
        const SunDay day = sun_day(at(2026, 4, 2, 12), place);
        REQUIRE(day.sunrise);
        REQUIRE(day.sunset);
        CHECK(*day.sunrise < day.transit);
        CHECK(day.transit < *day.sunset);
        for (const UtcTime time : {*day.sunrise, *day.sunset}) {
            // geocentric: the parallax of 8.8 arcseconds is in the tolerance
            CHECK_THAT(90.0 - in_degrees(solar_position(time, place).true_zenith), WithinAbs(-0.8333, 0.003));
        }
    }
}

TEST_CASE("solar position: in polar summer the sun does not set, in polar winter it does not rise", "[sun]") {
    const Place north{degrees(78.2), degrees(15.6), Metres(0.0)};
    const SunDay summer = sun_day(at(2026, 6, 17, 12), north);
    CHECK_FALSE(summer.sunrise);
    CHECK(summer.up_all_day);
    const SunDay winter = sun_day(at(2026, 12, 17, 12), north);
    CHECK_FALSE(winter.sunset);
    CHECK_FALSE(winter.up_all_day);
}

TEST_CASE("solar position: the textbook route agrees within its own accuracy", "[sun]") {
    const Place place{degrees(43.0), degrees(-89.4), Metres(0.0)};
    const UtcTime time = at(2026, 2, 13, 16, 30);
    const SunDay day = sun_day(time, place);
    const Radians hour_angle = degrees(minutes_between(day.transit, time) / 4.0);
    const Radians zenith = zenith_from_hour_angle(place.latitude, declination_cooper(44), hour_angle);
    const Radians azimuth = azimuth_from_south(place.latitude, declination_cooper(44), hour_angle) + degrees(180.0);
    const SolarPosition exact = solar_position(time, place);
    CHECK_THAT(in_degrees(zenith), WithinAbs(in_degrees(exact.true_zenith), 0.7));
    CHECK_THAT(in_degrees(azimuth), WithinAbs(in_degrees(exact.azimuth), 0.7));
}

TEST_CASE("solar position: direction is a unit vector that agrees with azimuth and zenith", "[sun]") {
    const Place place{degrees(40.1), degrees(-3.65), Metres(0.0)};
    const SolarPosition sun = solar_position(at(2026, 6, 17, 8), place);
    const Eigen::Vector3d direction = sun.direction_in_site();
    CHECK_THAT(direction.norm(), WithinAbs(1.0, 1e-12));
    CHECK(direction.x() > 0.0);  // morning: east
    CHECK_THAT(std::atan2(direction.x(), direction.y()), WithinAbs(sun.azimuth.value(), 1e-12));
    CHECK_THAT(std::acos(direction.z()), WithinAbs(sun.zenith.value(), 1e-9));
}

TEST_CASE("solar position: refraction lifts the low sun by half a degree and the high sun hardly", "[sun]") {
    CHECK_THAT(spa_refraction_deg(0.0, 1010.0, 10.0), WithinAbs(0.48, 0.03));
    CHECK_THAT(spa_refraction_deg(90.0, 1010.0, 10.0), WithinAbs(0.0, 0.001));
    CHECK(spa_refraction_deg(-5.0, 1010.0, 10.0) == 0.0);
}

TEST_CASE("solar position: the pressure falls with height as in the standard atmosphere", "[sun]") {
    CHECK_THAT(standard_pressure_hpa(Metres(0.0)), WithinAbs(1013.25, 1e-9));
    CHECK_THAT(standard_pressure_hpa(Metres(1000.0)), WithinAbs(898.76, 0.05));  // ICAO standard atmosphere
    CHECK_THAT(standard_pressure_hpa(Metres(2000.0)), WithinAbs(794.98, 0.1));
}

TEST_CASE("solar position: times go to Julian days", "[sun]") {
    CHECK(julian_day(at(2000, 1, 1, 12)) == 2451545.0);  // the epoch J2000.0
    CHECK_THAT(delta_t(at(2000, 1, 1, 0)).value(), WithinAbs(63.8, 0.05));
    CHECK(delta_t(at(1970, 1, 1, 0)).value() == Approx(50.5));
    CHECK(delta_t(at(2040, 1, 1, 0)).value() == Approx(69.1));
}
