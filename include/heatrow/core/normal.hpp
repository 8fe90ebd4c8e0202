// The normal distribution.
#pragma once

#include <cmath>
#include <numbers>

namespace heatrow {

// Distribution function of the standard normal distribution.
inline double normal_cdf(double z) {
    return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

}  // namespace heatrow
