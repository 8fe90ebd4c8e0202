#include "heatrow/sun/solar_position.hpp"

#include "heatrow/sun/spa.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace heatrow {
namespace {

using std::chrono::milliseconds;

constexpr double kMillisecondsPerDay = 86400000.0;

SpaInput spa_input(UtcTime time, const Place& place) {
    SpaInput input;
    input.julian_day = julian_day(time);
    input.delta_t_s = delta_t(time).value();
    input.longitude_deg = in_degrees(place.longitude);
    input.latitude_deg = in_degrees(place.latitude);
    input.elevation_m = place.elevation.value();
    input.pressure_hpa = standard_pressure_hpa(place.elevation);
    input.temperature_c = place.temperature_c;
    return input;
}

// Geocentric hour angle in (-pi, pi] and declination.
struct HourAngle {
    double angle;
    double declination;
};

HourAngle hour_angle(UtcTime time, const Place& place) {
    const Spa s = spa(spa_input(time, place));
    return {wrap_half_turn(degrees(s.h_deg)).value(), degrees(s.delta_deg).value()};
}

// The sun gains this hour angle in a day.
constexpr double kTurnPerDay = 2.0 * std::numbers::pi;

UtcTime later_by_days(UtcTime time, double days) {
    return time + milliseconds(std::llround(days * kMillisecondsPerDay));
}

UtcTime nearest_transit(UtcTime around, const Place& place) {
    UtcTime time = around;
    for (int i = 0; i < 4; ++i) {
        time = later_by_days(time, -hour_angle(time, place).angle / kTurnPerDay);
    }
    return time;
}

constexpr double kRiseElevationDeg = -0.8333;

// Time of rise (side -1) or set (side +1): the hour angle at which the sun of that moment stands at the rise
// elevation, iterated with the declination of the moment itself.
std::optional<UtcTime> crossing(UtcTime transit, double side, const Place& place) {
    const double phi = place.latitude.value();
    const double sin_h0 = std::sin(degrees(kRiseElevationDeg).value());
    UtcTime time = transit;
    for (int i = 0; i < 8; ++i) {
        const HourAngle now = hour_angle(time, place);
        const double cos_angle =
            (sin_h0 - std::sin(phi) * std::sin(now.declination)) / (std::cos(phi) * std::cos(now.declination));
        if (!(std::abs(cos_angle) <= 1.0)) {
            return std::nullopt;
        }
        const double wanted = side * std::acos(cos_angle);
        // No wrap at the far side of midnight: both angles are counted from this transit.
        const double have = wrap_half_turn(Radians(now.angle - wanted)).value();
        time = later_by_days(time, -have / kTurnPerDay);
    }
    return time;
}

}  // namespace

double standard_pressure_hpa(Metres elevation) {
    return 1013.25 * std::pow(1.0 - 2.25577e-5 * elevation.value(), 5.25588);
}

Radians SolarPosition::elevation() const {
    return degrees(90.0) - zenith;
}

Eigen::Vector3d SolarPosition::direction_in_site() const {
    const double across = std::sin(zenith.value());
    return {across * std::sin(azimuth.value()), across * std::cos(azimuth.value()), std::cos(zenith.value())};
}

SolarPosition solar_position(UtcTime time, const Place& place) {
    const Spa s = spa(spa_input(time, place));
    return {degrees(s.azimuth_deg), degrees(s.zenith_deg), degrees(90.0 - s.e0_deg), s.r_au};
}

double julian_day(UtcTime time) {
    constexpr double kJulianDayOf1970 = 2440587.5;
    return kJulianDayOf1970 + static_cast<double>(time.time_since_epoch().count()) / kMillisecondsPerDay;
}

Seconds delta_t(UtcTime time) {
    constexpr double kFirstYear = 1980.0;
    constexpr double kYearsApart = 5.0;
    constexpr std::array<double, 10> kSeconds{50.5, 54.3, 56.9, 60.8, 63.8, 64.7, 66.1, 67.6, 69.4, 69.1};
    const double year = 2000.0 + (julian_day(time) - 2451544.5) / 365.25;
    const double last = static_cast<double>(kSeconds.size() - 1);
    const double at = std::clamp((year - kFirstYear) / kYearsApart, 0.0, last);
    const auto before = static_cast<std::size_t>(std::min(std::floor(at), last - 1.0));
    const double fraction = at - static_cast<double>(before);
    return Seconds(kSeconds[before] + fraction * (kSeconds[before + 1] - kSeconds[before]));
}

SunDay sun_day(UtcTime around, const Place& place) {
    SunDay day;
    day.transit = nearest_transit(around, place);
    day.transit_elevation = degrees(90.0) - solar_position(day.transit, place).true_zenith;
    day.sunrise = crossing(day.transit, -1.0, place);
    day.sunset = crossing(day.transit, 1.0, place);
    if (!day.sunrise || !day.sunset) {
        day.up_all_day = in_degrees(day.transit_elevation) > kRiseElevationDeg;
    }
    return day;
}

}  // namespace heatrow
