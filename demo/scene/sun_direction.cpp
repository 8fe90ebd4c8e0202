#include "sun_direction.hpp"

#include <cmath>
#include <numbers>

namespace scene {

SunDirection sun_direction(heatrow::UtcTime time, double longitude_deg, double latitude_deg) {
    constexpr double kDegree = std::numbers::pi / 180.0;
    const double unix_s = std::chrono::duration_cast<std::chrono::duration<double>>(time.time_since_epoch()).count();
    const double n = unix_s / 86400.0 - 10957.5;  // days since 2000-01-01 12:00
    const double mean_longitude = (280.460 + 0.9856474 * n) * kDegree;
    const double anomaly = (357.528 + 0.9856003 * n) * kDegree;
    const double ecliptic = mean_longitude + (1.915 * std::sin(anomaly) + 0.020 * std::sin(2.0 * anomaly)) * kDegree;
    const double obliquity = (23.439 - 4.0e-7 * n) * kDegree;
    const double ascension = std::atan2(std::cos(obliquity) * std::sin(ecliptic), std::cos(ecliptic));
    const double declination = std::asin(std::sin(obliquity) * std::sin(ecliptic));
    // Greenwich mean sidereal time, the same series to this accuracy for any hour of the day.
    const double sidereal = (280.46062 + 360.98564737 * n + longitude_deg) * kDegree;
    const double hour = sidereal - ascension;
    const double latitude = latitude_deg * kDegree;
    const double up =
        std::sin(latitude) * std::sin(declination) + std::cos(latitude) * std::cos(declination) * std::cos(hour);
    const double east = -std::cos(declination) * std::sin(hour);
    const double north =
        std::cos(latitude) * std::sin(declination) - std::sin(latitude) * std::cos(declination) * std::cos(hour);
    const double azimuth = std::atan2(east, north) / kDegree;
    return {azimuth < 0.0 ? azimuth + 360.0 : azimuth, std::asin(up) / kDegree};
}

}  // namespace scene
