// A value below which a share of many lies.
#pragma once

#include "heatrow/core/units.hpp"

#include <algorithm>
#include <cstddef>
#include <vector>

namespace heatrow {

// The value at place floor(share x (n - 1)) of the sorted ones, none made up between two; NaN for no values.
// Precondition: all finite, share from 0 to 1. Reorders the values, so that callers can ask again.
template <class T>
T take_quantile(std::vector<T>& values, double share) {
    if (values.empty()) {
        return static_cast<T>(kNaN);
    }
    const auto at = values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
    std::nth_element(values.begin(), at, values.end());
    return *at;
}

template <class T>
T quantile_of(std::vector<T> values, double share) {
    return take_quantile(values, share);
}

}  // namespace heatrow
