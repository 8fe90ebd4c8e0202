// The air between camera and object: humidity, dew point, transmittance.
#pragma once

#include "heatrow/core/units.hpp"

#include <string>

namespace heatrow {

// Constants of the Magnus form e_s = a exp(b t / (c + t)), hPa and degC, over water.
struct MagnusConstants {
    double a_hpa = 0.0;
    double b = 0.0;
    double c_degc = 0.0;
};
inline constexpr MagnusConstants kMagnusWmo{6.112, 17.62, 243.12};                 // WMO-No. 8, -45..60 degC (V1)
inline constexpr MagnusConstants kMagnusAlduchovEskridge{6.1094, 17.625, 243.04};  // Alduchov & Eskridge 1996 (V1)

// What is wrong with a relative humidity in percent, as a sentence; empty if nothing. A value in (0, 1] is refused: it
// is a fraction where percent belong; air that dry does not occur outdoors.
std::string problem_with_humidity(double relative_humidity_percent);

// Saturation vapour pressure over water, hPa.
double saturation_pressure_hpa(Celsius air, MagnusConstants constants = kMagnusWmo);

// Dew point. NaN for a humidity that has a problem. A surface below it is wet: what is measured is water, and may drip.
Celsius dew_point(Celsius air, double relative_humidity_percent, MagnusConstants constants = kMagnusWmo);

// Relative humidity in percent from the dew point.
double relative_humidity_percent(Celsius air, Celsius dew_point, MagnusConstants constants = kMagnusWmo);

// Constants of the short-path transmittance
//   omega = phi exp(h0 + h1 t + h2 t^2 + h3 t^3),
//   tau = X exp[-sqrt(d) (alpha1 + beta1 sqrt(omega))] + (1 - X) exp[-sqrt(d) (alpha2 + beta2 sqrt(omega))].
// The defaults are those of one camera family, from public sources that cite Minkina & Dudzik pp. 164/171 (V2). They
// are not universal: a camera with another band needs others.
struct TransmittanceConstants {
    double h0 = 1.5587;
    double h1 = 6.939e-2;
    double h2 = -2.7816e-4;
    double h3 = 6.8455e-7;
    double x = 1.9;
    double alpha1 = 0.006569;
    double alpha2 = 0.01262;
    double beta1 = -0.002276;
    double beta2 = -0.00667;
    double lowest_air_c = -40.0;  // beyond these the cubic no longer follows the vapour pressure
    double highest_air_c = 60.0;
};

// Water in the air as the model takes it, omega.
double water_content(Celsius air, double relative_humidity_percent, const TransmittanceConstants& constants = {});

// Transmittance of a horizontal path, in (0, 1]. NaN for a negative distance, a humidity that has a problem or an air
// temperature out of range.
double transmittance(Metres distance,
                     Celsius air,
                     double relative_humidity_percent,
                     const TransmittanceConstants& constants = {});

}  // namespace heatrow
