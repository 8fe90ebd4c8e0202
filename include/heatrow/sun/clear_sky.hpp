// Irradiance under a cloudless sky.
#pragma once

#include "heatrow/core/units.hpp"

namespace heatrow {

struct SkyIrradiance {
    WattsPerSquareMetre global{kNaN};   // on the horizontal
    WattsPerSquareMetre direct{kNaN};   // normal to the beam
    WattsPerSquareMetre diffuse{kNaN};  // on the horizontal
};

// Relative air mass, 1 at the zenith; NaN below the horizon. Kasten & Young 1989, Applied Optics 28, 4735 (V1).
double relative_air_mass(Radians apparent_zenith);
// Scaled by the pressure at the place: what beam models want.
double absolute_air_mass(double relative, double pressure_hpa);

// Global irradiance from the sun's height alone: 1098 cos z exp(-0.059 / cos z), 0 below the horizon.
// Haurwitz 1945, 1946 (V1, as carried by pvlib).
WattsPerSquareMetre haurwitz_global(Radians apparent_zenith);

// Ineichen & Perez 2002, Solar Energy 73, 151-157 (V1, as carried by pvlib): Linke turbidity at air mass 2 from about
// 2 (clean, cold) to 7 (polluted). Zero below the horizon.
SkyIrradiance ineichen_perez(Radians apparent_zenith,
                             double absolute_air_mass,
                             double linke_turbidity,
                             Metres altitude,
                             WattsPerSquareMetre extraterrestrial);

// Transmittances of a standard atmosphere with 23 km visibility: Hottel 1976 for the beam and Liu & Jordan 1960 for the
// diffuse part, climate factors of Duffie & Beckman, section 2.8 (V2). Altitudes below 2.5 km.
struct ClimateFactors {
    double r0 = 0.97;  // midlatitude summer
    double r1 = 0.99;
    double rk = 1.02;
};
struct HottelTransmittance {
    double beam = 0.0;
    double diffuse = 0.0;
};
HottelTransmittance hottel(Radians zenith, Metres altitude, const ClimateFactors& climate = {});

// Simplified Solis: Ineichen 2008, Solar Energy 82, 758-762, from aerosol optical depth at 700 nm and precipitable
// water (coefficients from memory, M; checked against a published value).
SkyIrradiance simplified_solis(Radians apparent_elevation,
                               double aerosol_depth_700nm,
                               double precipitable_water_cm,
                               double pressure_hpa,
                               WattsPerSquareMetre extraterrestrial);

}  // namespace heatrow
