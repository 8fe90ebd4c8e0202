// Radiance of a blackbody in the band of a camera, and the temperature that belongs to it.
//
// Never sigma T^4: in 7.5-14 um radiance goes as T^4.7 at 25 degC and as T^6.2 at -60 degC (docs/radiometry.md).
// Constants: CODATA 2019. Spectral radiance: Planck's law; blackbody fraction: its classical series.
#pragma once

#include "heatrow/core/units.hpp"

#include <vector>

namespace heatrow {

// Planck's law, W/(m2 sr um). Wavelength in um, both arguments above zero.
double spectral_radiance(double wavelength_um, Kelvin temperature);

// Share of a blackbody's radiance below the wavelength, F(0 -> lambda T); argument in um K. 0 at or below zero.
double blackbody_fraction(double wavelength_temperature_um_k);

// A flat band: response one between the limits, zero outside.
struct Band {
    double low_um = 7.5;
    double high_um = 14.0;
};

// A camera's relative response: straight lines between points, zero outside. Wavelengths ascend.
struct ResponsePoint {
    double wavelength_um = 0.0;
    double response = 0.0;
};
// A flat band as a response curve.
std::vector<ResponsePoint> response_of(Band band);

// In-band radiance as a table. Immutable, so one object serves all threads.
//
// Between the nodes ln L is a cubic in 1/T. Over kLowest..kHighest the temperature that belongs to the tabulated
// radiance is within 1e-4 K of the exact one (tested over -60..200 degC; measured error below 1e-6 K).
class BandRadiance {
  public:
    static constexpr Kelvin kLowest{100.0};
    static constexpr Kelvin kHighest{1000.0};

    // Throws Error(usage) for limits that are swapped, equal, not above zero or not finite.
    explicit BandRadiance(Band band);
    // Throws Error(usage) for fewer than two points, wavelengths that do not ascend, a negative response or none above
    // zero.
    explicit BandRadiance(const std::vector<ResponsePoint>& response);

    // W/(m2 sr); NaN outside kLowest..kHighest. Under a response curve: weighted by it.
    [[nodiscard]] double radiance(Kelvin temperature) const;
    [[nodiscard]] double radiance(Celsius temperature) const { return radiance(to_kelvin(temperature)); }

    // dL/dT, W/(m2 sr K); NaN outside the range.
    [[nodiscard]] double derivative(Kelvin temperature) const;
    [[nodiscard]] double derivative(Celsius temperature) const { return derivative(to_kelvin(temperature)); }

    // The inverse of radiance(); NaN where no temperature of the range has this radiance (negative radiance above all).
    [[nodiscard]] Kelvin temperature(double radiance) const;

  private:
    struct Node {
        double log_radiance = 0.0;
        double slope = 0.0;  // d ln L / d(1/T), K
    };
    struct Evaluation {
        double log_radiance;
        double slope;
    };
    template <class Function>
    void tabulate(Function exact);
    [[nodiscard]] Evaluation evaluate(double inverse_kelvin) const;

    std::vector<Node> nodes_;  // at equal steps of 1/T, from 1/kHighest up
};

}  // namespace heatrow
