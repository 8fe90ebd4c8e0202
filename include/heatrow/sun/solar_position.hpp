// Where the sun stands.
#pragma once

#include "heatrow/core/time.hpp"
#include "heatrow/core/units.hpp"

#include <Eigen/Core>

#include <optional>

namespace heatrow {

// Where the sun is looked at from.
struct Place {
    Radians latitude{0.0};        // WGS 84, north positive
    Radians longitude{0.0};       // east positive
    Metres elevation{0.0};        // above sea level
    double temperature_c = 12.0;  // yearly mean, for refraction
};

// Pressure of the standard atmosphere at an elevation, hPa: ICAO standard atmosphere, troposphere.
double standard_pressure_hpa(Metres elevation);

struct SolarPosition {
    Radians azimuth{kNaN};      // clockwise from true north
    Radians zenith{kNaN};       // apparent: with refraction
    Radians true_zenith{kNaN};  // without
    double earth_sun_distance_au = kNaN;

    [[nodiscard]] Radians elevation() const;  // apparent
    // Unit vector towards the sun in the site frame (east, north, up), as it appears.
    [[nodiscard]] Eigen::Vector3d direction_in_site() const;
};

// To 0.0003 deg plus what is not known of the refraction near the horizon (algorithm of Reda & Andreas, spa.hpp).
SolarPosition solar_position(UtcTime time, const Place& place);

// Terrestrial time minus universal time. Yearly means as published by IERS, to the full second from memory (M), linear
// between; constant outside 1980 to 2025. One second moves the sun by 0.00001 deg along its path.
Seconds delta_t(UtcTime time);
double julian_day(UtcTime time);

// The sun's day around an instant.
struct SunDay {
    UtcTime transit{};               // highest stand nearest to the instant that was asked for
    std::optional<UtcTime> sunrise;  // before the transit; nothing where the sun does not rise or set
    std::optional<UtcTime> sunset;   // after it
    bool up_all_day = false;
    Radians transit_elevation{kNaN};  // without refraction
};
// Rise and set: centre of the sun, seen from the Earth's centre, at -0.8333 deg (refraction 34', radius 16'), as in
// NREL/TP-560-34302, A.2.
SunDay sun_day(UtcTime around, const Place& place);

}  // namespace heatrow
