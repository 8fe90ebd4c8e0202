// Textbook geometry of the sun from declination and hour angle: quick formulas for planning and for checking the exact
// position against a second route.
//
// Source: Duffie & Beckman, Solar Engineering of Thermal Processes, chapter 1 (V2, as restated by public test files).
// Textbook azimuths count from south, west positive; hour angles are negative in the morning.
#pragma once

#include "heatrow/core/units.hpp"

namespace heatrow {

// 360 (n - 1) / 365: the day's angle; n = day of the year from 1.
Radians day_angle(int day_of_year);
// 23.45 sin(360 (284 + n) / 365), Cooper 1969.
Radians declination_cooper(int day_of_year);
// Minutes that the sun is ahead of mean time, Spencer 1971.
double equation_of_time_min(int day_of_year);
// Solar time minus standard time in minutes: 4 (L_st - L_loc) + E, longitudes in degrees west.
double solar_minus_standard_min(int day_of_year, double standard_meridian_west_deg, double longitude_west_deg);

Radians hour_angle_of(double solar_hour);  // 15 deg an hour from noon

// cos z = cos phi cos delta cos omega + sin phi sin delta
Radians zenith_from_hour_angle(Radians latitude, Radians declination, Radians hour_angle);
// Sun azimuth from south, west positive.
Radians azimuth_from_south(Radians latitude, Radians declination, Radians hour_angle);
// Incidence from declination and hour angle, eq. 1.6.2; `azimuth_from_south_of_plane` west positive.
double cos_incidence_from_hour_angle(
    Radians latitude, Radians declination, Radians hour_angle, Radians tilt, Radians azimuth_from_south_of_plane);
// cos omega_s = -tan phi tan delta; 0 where the sun does not rise, pi where it does not set.
Radians sunset_hour_angle(Radians latitude, Radians declination);
// tan(profile) = tan(elevation) / cos(sun azimuth - plane azimuth)
Radians profile_angle(Radians sun_elevation, Radians azimuth_from_plane);
// Beam on a plane over beam on the horizontal at a moment: cos incidence / cos zenith.
double beam_ratio(Radians latitude, Radians declination, Radians hour_angle, Radians tilt, Radians azimuth_from_south);

// Extraterrestrial irradiance normal to the beam, solar constant x (1 + 0.033 cos(360 n / 365)).
WattsPerSquareMetre extraterrestrial_normal(int day_of_year, WattsPerSquareMetre solar_constant);
// The same from the Earth's distance: solar constant / r^2.
WattsPerSquareMetre extraterrestrial_normal(double earth_sun_distance_au, WattsPerSquareMetre solar_constant);
// Extraterrestrial energy on the horizontal over a day, and between two hour angles, J/m2 (eq. 1.10.3, 1.10.4).
double extraterrestrial_day_j_m2(int day_of_year, Radians latitude, Radians declination, WattsPerSquareMetre constant);
double extraterrestrial_span_j_m2(
    int day_of_year, Radians latitude, Radians declination, Radians from, Radians to, WattsPerSquareMetre constant);

// Total solar irradiance at one astronomical unit: Gueymard 2018, Solar Energy 168, 14-21 (from memory, M).
inline constexpr WattsPerSquareMetre kSolarConstant{1361.1};

}  // namespace heatrow
