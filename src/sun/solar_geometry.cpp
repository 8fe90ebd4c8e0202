#include "heatrow/sun/solar_geometry.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace heatrow {

Radians day_angle(int day_of_year) {
    return degrees(360.0 * (day_of_year - 1) / 365.0);
}

Radians declination_cooper(int day_of_year) {
    return degrees(23.45 * std::sin(degrees(360.0 * (284 + day_of_year) / 365.0).value()));
}

double equation_of_time_min(int day_of_year) {
    const double b = day_angle(day_of_year).value();
    return 229.2 * (0.000075 + 0.001868 * std::cos(b) - 0.032077 * std::sin(b) - 0.014615 * std::cos(2.0 * b) -
                    0.04089 * std::sin(2.0 * b));
}

double solar_minus_standard_min(int day_of_year, double standard_meridian_west_deg, double longitude_west_deg) {
    return 4.0 * (standard_meridian_west_deg - longitude_west_deg) + equation_of_time_min(day_of_year);
}

Radians hour_angle_of(double solar_hour) {
    return degrees(15.0 * (solar_hour - 12.0));
}

Radians zenith_from_hour_angle(Radians latitude, Radians declination, Radians hour_angle) {
    const double cos_zenith =
        std::cos(latitude.value()) * std::cos(declination.value()) * std::cos(hour_angle.value()) +
        std::sin(latitude.value()) * std::sin(declination.value());
    return Radians(std::acos(std::clamp(cos_zenith, -1.0, 1.0)));
}

Radians azimuth_from_south(Radians latitude, Radians declination, Radians hour_angle) {
    const double west = std::cos(declination.value()) * std::sin(hour_angle.value());
    const double south = std::cos(declination.value()) * std::cos(hour_angle.value()) * std::sin(latitude.value()) -
                         std::sin(declination.value()) * std::cos(latitude.value());
    return Radians(std::atan2(west, south));
}

double cos_incidence_from_hour_angle(
    Radians latitude, Radians declination, Radians hour_angle, Radians tilt, Radians azimuth_from_south_of_plane) {
    const double sin_d = std::sin(declination.value());
    const double cos_d = std::cos(declination.value());
    const double sin_phi = std::sin(latitude.value());
    const double cos_phi = std::cos(latitude.value());
    const double sin_b = std::sin(tilt.value());
    const double cos_b = std::cos(tilt.value());
    const double cos_g = std::cos(azimuth_from_south_of_plane.value());
    const double sin_g = std::sin(azimuth_from_south_of_plane.value());
    const double cos_w = std::cos(hour_angle.value());
    const double sin_w = std::sin(hour_angle.value());
    return sin_d * sin_phi * cos_b - sin_d * cos_phi * sin_b * cos_g + cos_d * cos_phi * cos_b * cos_w +
           cos_d * sin_phi * sin_b * cos_g * cos_w + cos_d * sin_b * sin_g * sin_w;
}

Radians sunset_hour_angle(Radians latitude, Radians declination) {
    const double cos_hour = -std::tan(latitude.value()) * std::tan(declination.value());
    return Radians(std::acos(std::clamp(cos_hour, -1.0, 1.0)));
}

Radians profile_angle(Radians sun_elevation, Radians azimuth_from_plane) {
    return Radians(std::atan2(std::tan(sun_elevation.value()), std::cos(azimuth_from_plane.value())));
}

double beam_ratio(
    Radians latitude, Radians declination, Radians hour_angle, Radians tilt, Radians azimuth_from_south_of_plane) {
    return cos_incidence_from_hour_angle(latitude, declination, hour_angle, tilt, azimuth_from_south_of_plane) /
           std::cos(zenith_from_hour_angle(latitude, declination, hour_angle).value());
}

WattsPerSquareMetre extraterrestrial_normal(int day_of_year, WattsPerSquareMetre solar_constant) {
    return solar_constant * (1.0 + 0.033 * std::cos(degrees(360.0 * day_of_year / 365.0).value()));
}

WattsPerSquareMetre extraterrestrial_normal(double earth_sun_distance_au, WattsPerSquareMetre solar_constant) {
    return solar_constant / (earth_sun_distance_au * earth_sun_distance_au);
}

double extraterrestrial_day_j_m2(int day_of_year, Radians latitude, Radians declination, WattsPerSquareMetre constant) {
    const Radians sunset = sunset_hour_angle(latitude, declination);
    return extraterrestrial_span_j_m2(day_of_year, latitude, declination, -sunset, sunset, constant);
}

double extraterrestrial_span_j_m2(
    int day_of_year, Radians latitude, Radians declination, Radians from, Radians to, WattsPerSquareMetre constant) {
    constexpr double kSecondsPerRadian = 86400.0 / (2.0 * std::numbers::pi);
    const double over_span =
        std::cos(latitude.value()) * std::cos(declination.value()) * (std::sin(to.value()) - std::sin(from.value())) +
        (to - from).value() * std::sin(latitude.value()) * std::sin(declination.value());
    return extraterrestrial_normal(day_of_year, constant).value() * kSecondsPerRadian * over_span;
}

}  // namespace heatrow
