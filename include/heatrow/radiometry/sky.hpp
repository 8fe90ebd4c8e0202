// What a module mirrors: the clear sky by direction, and the ground below the horizon.
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/radiometry/blackbody.hpp"

#include <Eigen/Core>

namespace heatrow {

// Broadband temperature of a clear sky, Swinbank: T_sky = 0.0552 T_air^1.5 in kelvin (from memory, M). In 8-14 um the
// zenith is colder still. A measured reflected temperature is always preferred.
Celsius swinbank_sky(Celsius air);

// The clear sky in the camera's band as one grey layer at air temperature: a slant path is 1 / sin(elevation) zenith
// thicknesses long, so its emissivity is 1 - (1 - zenith_emissivity)^(1 / sin(elevation)). The sky is coldest at the
// zenith and comes up to air temperature at the horizon. Form: Granqvist & Hjortsberg 1981, J. Appl. Phys. 52, 4205
// (from memory, M). Clouds are not in it.
struct ClearSky {
    double zenith_emissivity = 1.0;     // in the camera's band, above 0 and at most 1
    KelvinDelta ground_above_air{0.0};  // apparent temperature of what lies below the horizon, above the air's
};

// The zenith emissivity of a clear sky whose mean over the half space, weighted by the cosine from the zenith, has this
// apparent temperature in the band: what a reflector that lies level reads. The mean transmission of a grey layer of
// zenith thickness t is 2 E3(t), E3 the third exponential integral. 1 for a mean as warm as the air or warmer. NaN for
// an unknown temperature.
double zenith_emissivity_of_mean(Celsius mean, Celsius air, const BandRadiance& band);

// Apparent temperature in the band of what lies in a direction, by the sine of its elevation above the horizon; at and
// above the horizon sky, below it ground. NaN for an unknown air temperature or a sine outside -1..1.
Celsius sky_temperature(Celsius air, double sine_of_elevation, const ClearSky& sky, const BandRadiance& band);

// Sine of the elevation of the ray that a flat surface mirrors into a line of sight. Both unit vectors in the site
// frame (up = z): `sight` from the camera to the surface, `normal` of the surface.
double mirrored_sine_of_elevation(const Eigen::Vector3d& sight, const Eigen::Vector3d& normal);

}  // namespace heatrow
