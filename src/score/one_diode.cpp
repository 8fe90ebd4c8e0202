#include "heatrow/score/one_diode.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

constexpr int kMostSteps = 100;
constexpr double kRated_c = 25.0;
constexpr double kRated_w_m2 = 1000.0;
constexpr double kZero_c = -273.15;

}  // namespace

double OneDiode::voltage(double current_a) const {
    const double forward = light_a - current_a;
    if (forward <= -saturation_a && !std::isfinite(shunt_ohm)) {
        return -std::numeric_limits<double>::infinity();
    }
    // The current through diode and shunt is a falling, concave function of the junction's voltage: from the voltage without
    // a shunt, which lies to the right of the root, Newton's steps go down to it and never past it.
    double junction = forward > -saturation_a ? slope_v * std::log1p(forward / saturation_a) : 0.0;
    junction = forward > 0.0 ? junction : 0.0;
    for (int i = 0; i < kMostSteps; ++i) {
        const double diode = saturation_a * std::exp(junction / slope_v);
        const double step =
            (forward - diode + saturation_a - junction / shunt_ohm) / (diode / slope_v + 1.0 / shunt_ohm);
        junction += step;
        if (std::abs(step) < 1e-12 * std::max(1.0, std::abs(junction))) {
            break;
        }
    }
    return junction - current_a * series_ohm;
}

double OneDiode::current(double voltage_v) const {
    // The same curve, solved for the current: f(I) falls and is concave in I, so Newton's steps from the right hold.
    double current_a = light_a + saturation_a;
    for (int i = 0; i < kMostSteps; ++i) {
        const double junction = voltage_v + current_a * series_ohm;
        const double diode = saturation_a * std::exp(junction / slope_v);
        const double value = light_a - diode + saturation_a - junction / shunt_ohm - current_a;
        const double step = value / (1.0 + series_ohm * (diode / slope_v + 1.0 / shunt_ohm));
        current_a += step;
        if (std::abs(step) < 1e-12 * std::max(1.0, std::abs(current_a))) {
            break;
        }
    }
    return current_a;
}

std::optional<OneDiode> diode_of(const PowerRating& rating) {
    const double left = rating.short_circuit_a - rating.current_a;
    if (!(rating.current_a > 0.0) || !(left > 0.0) || !(rating.voltage_v > 0.0)) {
        return std::nullopt;
    }
    const double dark_log = std::log(left / rating.short_circuit_a);
    const double slope = (2.0 * rating.voltage_v - rating.open_circuit_v) / (rating.current_a / left + dark_log);
    const double series = (slope * dark_log + rating.open_circuit_v - rating.voltage_v) / rating.current_a;
    if (!(slope > 0.0) || !(series >= 0.0)) {
        return std::nullopt;
    }
    OneDiode diode;
    diode.light_a = rating.short_circuit_a;
    diode.slope_v = slope;
    diode.saturation_a = rating.short_circuit_a * std::exp(-rating.open_circuit_v / slope);
    diode.series_ohm = series;
    return diode;
}

OneDiode diode_at(const OneDiode& rated, WattsPerSquareMetre irradiance, Celsius cell, const TemperatureShares& shares) {
    const double warmer = cell.value() - kRated_c;
    const double open_circuit = rated.slope_v * std::log1p(rated.light_a / rated.saturation_a);
    OneDiode diode = rated;
    diode.slope_v = rated.slope_v * (cell.value() - kZero_c) / (kRated_c - kZero_c);
    const double light_at_1000 = rated.light_a * (1.0 + shares.current * warmer);
    // The saturation current follows from the open-circuit voltage that the coefficient gives at 1000 W/m2.
    diode.saturation_a =
        light_at_1000 / std::expm1(open_circuit * (1.0 - shares.voltage * warmer) / diode.slope_v);
    diode.light_a = light_at_1000 * irradiance.value() / kRated_w_m2;
    return diode;
}

}  // namespace heatrow
