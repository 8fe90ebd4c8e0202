// How a module follows the sun: it warms towards its steady state with a time constant of minutes.
#pragma once

#include "heatrow/core/units.hpp"

#include <cstddef>
#include <span>

namespace heatrow {

// Mass per area of a module with glass front and polymer back, the one the coefficients below were made with (V1).
inline constexpr double kModuleMassKgPerM2 = 11.1;

// Rate (1/s) at which a module approaches its steady state; 1/rate is its time constant.
// rate = 0.0046 + 0.00046 v - 0.00023 m - 1.6e-5 v m: Prilliman, Stein, Riley & Tamizhmani 2020, IEEE J. Photovoltaics
// 10(4), 1053-1060 (V1, as carried by pvlib). Valid for open racks and 5 to 16 kg/m2; never below 1/1800 s here.
double thermal_rate_per_s(MetresPerSecond wind, double mass_kg_per_m2 = kModuleMassKgPerM2);

// A value at an age (s before the moment that is asked for, >= 0).
struct AgedValue {
    double age_s = 0.0;
    double value = 0.0;
};

// Mean of a piecewise linear history weighted by exp(-rate x age), over the ages that it covers (at most
// `window_s`): what a first-order system has felt. `history` in ascending age; one value alone is returned as it is.
// The published form weighs the samples of the last 1,200 s; this one integrates between them, so it does not depend
// on the sampling. NaN for an empty history.
struct LaggedValue {
    double value = kNaN;
    double missing_weight = 0.0;  // share of the full exponential (to infinite age) that lies beyond the history used
};
LaggedValue lagged_mean(std::span<const AgedValue> history, double rate_per_s, double window_s = 1200.0);

}  // namespace heatrow
