// Robust figures of a handful of numbers.
#pragma once

#include "heatrow/core/units.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

namespace heatrow {

// Median of the finite values, the mean of the middle two for an even count; NaN where none is finite. Drops the others
// and reorders the rest, so that callers can reuse one vector as scratch.
inline double take_median(std::vector<double>& values) {
    values.erase(std::remove_if(values.begin(), values.end(), [](double v) { return !std::isfinite(v); }),
                 values.end());
    if (values.empty()) {
        return kNaN;
    }
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    if (values.size() % 2 == 1) {
        return *middle;
    }
    return 0.5 * (*middle + *std::max_element(values.begin(), middle));
}

inline double median_of(std::vector<double> values) {
    return take_median(values);
}

// Standard deviation of a normal distribution with this median absolute deviation, for many values.
inline constexpr double kSigmaOverMad = 1.4826;  // 1 / Phi^-1(3/4)

// Robust standard deviation: scaled median absolute deviation about the median. NaN where nothing is finite.
inline double robust_sigma(std::vector<double> values) {
    const double centre = take_median(values);
    for (double& value : values) {
        value = std::abs(value - centre);
    }
    return kSigmaOverMad * take_median(values);
}

}  // namespace heatrow
