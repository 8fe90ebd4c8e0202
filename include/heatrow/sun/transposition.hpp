// Irradiance on the horizontal carried over to a tilted plane.
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/sun/clear_sky.hpp"
#include "heatrow/sun/incidence.hpp"
#include "heatrow/sun/solar_position.hpp"

#include <array>

namespace heatrow {

// The sky and the sun at one moment, seen from a plane.
struct SkyOverPlane {
    SkyIrradiance sky;
    WattsPerSquareMetre extraterrestrial{kNaN};  // normal to the beam
    Radians sun_zenith{kNaN};                    // apparent
    double cos_incidence = kNaN;
    double relative_air_mass = kNaN;
    Radians tilt{0.0};
};

// Diffuse irradiance of the sky on the plane, by model. Sources: check values and coefficients as carried by pvlib
// (V1).
WattsPerSquareMetre isotropic_sky_diffuse(WattsPerSquareMetre diffuse, Radians tilt);
// Hay & Davies 1980.
WattsPerSquareMetre hay_davies_sky_diffuse(const SkyOverPlane& over);
// Reindl, Beckman & Duffie 1990.
WattsPerSquareMetre reindl_sky_diffuse(const SkyOverPlane& over);
// Klucher 1979.
WattsPerSquareMetre klucher_sky_diffuse(const SkyOverPlane& over);

// Perez, Ineichen, Seals, Michalsky & Stewart 1990, Solar Energy 44, 271-289, all-sites coefficients.
struct PerezSky {
    WattsPerSquareMetre total{0.0};  // not below zero
    WattsPerSquareMetre isotropic{0.0};
    WattsPerSquareMetre circumsolar{0.0};
    WattsPerSquareMetre horizon{0.0};
    double clearness = kNaN;   // epsilon
    int bin = 0;               // of the clearness, from 1
    double brightness = kNaN;  // delta
    double f1 = kNaN;
    double f2 = kNaN;
};
PerezSky perez_sky_diffuse(const SkyOverPlane& over);

// What the Hay-Davies and Reindl models do with a beam ratio and an anisotropy index given apart: energies over an hour
// in any unit (the HDKR example of Duffie & Beckman).
double hay_davies_factor(double anisotropy, double beam_ratio, Radians tilt);
double reindl_factor(double anisotropy, double beam_ratio, Radians tilt, double beam_over_global);

// Reflected by flat ground: global x albedo x (1 - cos tilt) / 2.
WattsPerSquareMetre ground_reflected(WattsPerSquareMetre global, double albedo, Radians tilt);

// Albedo of kinds of ground (V1, as carried by pvlib).
inline constexpr double kAlbedoGrass = 0.20;
inline constexpr double kAlbedoFreshGrass = 0.26;
inline constexpr double kAlbedoSoil = 0.17;
inline constexpr double kAlbedoSand = 0.40;
inline constexpr double kAlbedoSnow = 0.65;
inline constexpr double kAlbedoFreshSnow = 0.75;
inline constexpr double kAlbedoAsphalt = 0.12;
inline constexpr double kAlbedoConcrete = 0.30;
inline constexpr double kAlbedoUrban = 0.18;

// Beam and diffuse parts of a global irradiance by the clearness index: Erbs, Klein & Duffie 1982, Solar Energy 28,
// 293-302 (coefficients from memory, M).
SkyIrradiance erbs(WattsPerSquareMetre global, Radians true_zenith, WattsPerSquareMetre extraterrestrial);

// Global irradiance on a plane from a sky: beam, Perez sky diffuse and ground.
WattsPerSquareMetre plane_irradiance(const SkyIrradiance& sky,
                                     const SolarPosition& sun,
                                     const PlaneOrientation& plane,
                                     double albedo);

// Irradiance that a sensor in one plane reads, carried over to another: the global horizontal irradiance that explains
// the reading under the Erbs and Perez models is searched, then transposed. A horizontal sensor is the special case of
// a pyranometer for global irradiance. NaN where the sun is less than 5 deg high or the reading cannot be explained.
struct CarriedIrradiance {
    WattsPerSquareMetre value{kNaN};
    // Standard uncertainty of the two models as a share of the value: 4 % where the sun is in front of both planes (the
    // published bias and scatter of transposition from horizontal; from memory, M), growing with the angle between
    // them.
    double model_u_share = kNaN;
};
CarriedIrradiance carry_to_plane(WattsPerSquareMetre measured,
                                 const PlaneOrientation& sensor,
                                 const PlaneOrientation& plane,
                                 const SolarPosition& sun,
                                 double albedo);

}  // namespace heatrow
