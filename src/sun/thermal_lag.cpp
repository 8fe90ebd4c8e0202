#include "heatrow/sun/thermal_lag.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

constexpr double kSlowestRatePerS = 1.0 / 1800.0;

// Integrals over one segment of length d (s) of exp(-r x) and of x exp(-r x), x from 0 to d.
struct SegmentIntegrals {
    double weight;
    double first_moment;
};

SegmentIntegrals integrate_segment(double rate, double d) {
    const double decay = std::exp(-rate * d);
    const double weight = -std::expm1(-rate * d) / rate;
    return {weight, (weight - d * decay) / rate};
}

}  // namespace

double thermal_rate_per_s(MetresPerSecond wind, double mass_kg_per_m2) {
    const double v = std::max(wind.value(), 0.0);
    const double rate = 0.0046 + 0.00046 * v - 0.00023 * mass_kg_per_m2 - 1.6e-5 * v * mass_kg_per_m2;
    return std::max(rate, kSlowestRatePerS);
}

LaggedValue lagged_mean(std::span<const AgedValue> history, double rate_per_s, double window_s) {
    if (history.empty()) {
        return {kNaN, 1.0};
    }
    double weight_sum = 0.0;
    double value_sum = 0.0;
    double reached_s = history.front().age_s;
    for (std::size_t i = 0; i + 1 < history.size() && history[i].age_s < window_s; ++i) {
        const AgedValue young = history[i];
        const AgedValue old = history[i + 1];
        const double full = old.age_s - young.age_s;
        if (full <= 0.0) {
            continue;
        }
        const double length = std::min(full, window_s - young.age_s);
        const double slope = (old.value - young.value) / full;
        const SegmentIntegrals part = integrate_segment(rate_per_s, length);
        const double decay = std::exp(-rate_per_s * young.age_s);
        weight_sum += decay * part.weight;
        value_sum += decay * (young.value * part.weight + slope * part.first_moment);
        reached_s = young.age_s + length;
    }
    if (weight_sum <= 0.0) {
        return {history.front().value, 1.0};
    }
    return {value_sum / weight_sum, std::exp(-rate_per_s * reached_s)};
}

}  // namespace heatrow
