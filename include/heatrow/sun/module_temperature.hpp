// Steady temperature of a module from irradiance, air and wind.
#pragma once

#include "heatrow/core/units.hpp"

namespace heatrow {

struct FaimanCoefficients {
    double u0 = 25.0;  // W/(m2 K)
    double u1 = 6.84;  // W s/(m3 K)
};
// T = T_air + G / (u0 + u1 v). Faiman 2008, Prog. Photovoltaics 16, 307-315; IEC 61853-2 (V1).
Celsius faiman_temperature(WattsPerSquareMetre irradiance,
                           Celsius air,
                           MetresPerSecond wind,
                           const FaimanCoefficients& coefficients = {});
// The same with the exchange with the sky: minus emissivity x view x (sigma T_air^4 - downward long-wave irradiance).
Celsius faiman_sky_temperature(WattsPerSquareMetre irradiance,
                               Celsius air,
                               MetresPerSecond wind,
                               WattsPerSquareMetre longwave_down,
                               double sky_view = 1.0,
                               double emissivity = 0.88,
                               const FaimanCoefficients& coefficients = {});

// King, Boyson & Kratochvil 2004, SAND2004-3535 (V1).
struct SandiaCoefficients {
    double a;
    double b;
    KelvinDelta delta_t;  // cell above module back at 1000 W/m2
};
inline constexpr SandiaCoefficients kSandiaGlassGlassOpen{-3.47, -0.0594, KelvinDelta(3.0)};
inline constexpr SandiaCoefficients kSandiaGlassGlassClose{-2.98, -0.0471, KelvinDelta(1.0)};
inline constexpr SandiaCoefficients kSandiaGlassPolymerOpen{-3.56, -0.075, KelvinDelta(3.0)};
inline constexpr SandiaCoefficients kSandiaGlassPolymerInsulated{-2.81, -0.0455, KelvinDelta(0.0)};
// Module back: G exp(a + b v) + T_air; cell: that plus G / 1000 x delta_t.
Celsius sandia_module_temperature(WattsPerSquareMetre irradiance,
                                  Celsius air,
                                  MetresPerSecond wind,
                                  const SandiaCoefficients& coefficients);
Celsius sandia_cell_temperature(WattsPerSquareMetre irradiance,
                                Celsius air,
                                MetresPerSecond wind,
                                const SandiaCoefficients& coefficients);

// Ross 1980: T_air + k G.
Celsius ross_temperature(WattsPerSquareMetre irradiance, Celsius air, double k_k_m2_per_w);
// k from the nominal operating cell temperature: (NOCT - 20) / 800.
double ross_k_from_noct(Celsius noct);

// NOCT with efficiency and wind (V1, as carried by pvlib): T_air + G / 800 (NOCT - 20)(1 - eta /
// transmittance-absorptance) 9.5 / (5.7 + 3.8 x 0.51 v).
Celsius noct_temperature(WattsPerSquareMetre irradiance,
                         Celsius air,
                         MetresPerSecond wind,
                         Celsius noct,
                         double efficiency,
                         double transmittance_absorptance = 0.9);

}  // namespace heatrow
