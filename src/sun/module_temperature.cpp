#include "heatrow/sun/module_temperature.hpp"

#include <cmath>

namespace heatrow {

namespace {

double heat_loss(MetresPerSecond wind, const FaimanCoefficients& c) {
    return c.u0 + c.u1 * wind.value();
}

}  // namespace

Celsius faiman_temperature(WattsPerSquareMetre irradiance,
                           Celsius air,
                           MetresPerSecond wind,
                           const FaimanCoefficients& coefficients) {
    return air + KelvinDelta(irradiance.value() / heat_loss(wind, coefficients));
}

Celsius faiman_sky_temperature(WattsPerSquareMetre irradiance,
                               Celsius air,
                               MetresPerSecond wind,
                               WattsPerSquareMetre longwave_down,
                               double sky_view,
                               double emissivity,
                               const FaimanCoefficients& coefficients) {
    constexpr double kStefanBoltzmann = 5.670374419e-8;  // W/(m2 K4), CODATA 2018
    const double upward = kStefanBoltzmann * std::pow(to_kelvin(air).value(), 4.0);
    const double net_loss = emissivity * sky_view * (upward - longwave_down.value());
    return air + KelvinDelta((irradiance.value() - net_loss) / heat_loss(wind, coefficients));
}

Celsius sandia_module_temperature(WattsPerSquareMetre irradiance,
                                  Celsius air,
                                  MetresPerSecond wind,
                                  const SandiaCoefficients& coefficients) {
    return air + KelvinDelta(irradiance.value() * std::exp(coefficients.a + coefficients.b * wind.value()));
}

Celsius sandia_cell_temperature(WattsPerSquareMetre irradiance,
                                Celsius air,
                                MetresPerSecond wind,
                                const SandiaCoefficients& coefficients) {
    return sandia_module_temperature(irradiance, air, wind, coefficients) +
           coefficients.delta_t * (irradiance.value() / 1000.0);
}

Celsius ross_temperature(WattsPerSquareMetre irradiance, Celsius air, double k_k_m2_per_w) {
    return air + KelvinDelta(k_k_m2_per_w * irradiance.value());
}

double ross_k_from_noct(Celsius noct) {
    return (noct.value() - 20.0) / 800.0;
}

Celsius noct_temperature(WattsPerSquareMetre irradiance,
                         Celsius air,
                         MetresPerSecond wind,
                         Celsius noct,
                         double efficiency,
                         double transmittance_absorptance) {
    const double cooling = 9.5 / (5.7 + 3.8 * 0.51 * wind.value());
    return air + KelvinDelta(irradiance.value() * ross_k_from_noct(noct) *
                             (1.0 - efficiency / transmittance_absorptance) * cooling);
}

}  // namespace heatrow
