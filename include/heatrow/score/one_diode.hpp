// One cell, module or row of cells as a diode beside a light-driven current source, with series and shunt resistance.
//   I = I_L - I_0 (exp((V + I R_s) / a) - 1) - (V + I R_s) / R_sh
// Source: the single-diode model of e.g. Duffie & Beckman, Solar Engineering of Thermal Processes, chapter 23 (from memory).
#pragma once

#include "heatrow/core/units.hpp"

#include <limits>
#include <optional>

namespace heatrow {

struct OneDiode {
    double light_a = 0.0;       // I_L
    double saturation_a = 0.0;  // I_0
    double slope_v = 0.0;       // a: ideality times thermal voltage times cells in series
    double series_ohm = 0.0;
    double shunt_ohm = std::numeric_limits<double>::infinity();

    // Voltage at a current; with a current above light_a it is negative, and -infinity without a shunt.
    [[nodiscard]] double voltage(double current_a) const;
    [[nodiscard]] double current(double voltage_v) const;
};

// What a data sheet says at 1000 W/m2 and 25 degC.
struct PowerRating {
    double short_circuit_a = 0.0;
    double open_circuit_v = 0.0;
    double current_a = 0.0;  // at maximum power
    double voltage_v = 0.0;
};

// The curve without a shunt through these points, with its maximum of power at the rated one (the four-parameter model;
// the closed form in docs/loss.md is our own derivation). Nothing where the points lie on no such curve.
std::optional<OneDiode> diode_of(const PowerRating& rating);

// How a curve moves with temperature, shares a kelvin.
struct TemperatureShares {
    double current = 0.0;  // of the short-circuit current, rises
    double voltage = 0.0;  // of the open-circuit voltage, falls
};
// A curve rated at 1000 W/m2 and 25 degC, at another irradiance and cell temperature.
OneDiode diode_at(const OneDiode& rated, WattsPerSquareMetre irradiance, Celsius cell, const TemperatureShares& shares);

}  // namespace heatrow
