// A value with its standard uncertainty.
#pragma once

#include "heatrow/core/units.hpp"

#include <cmath>
#include <type_traits>

namespace heatrow {

// `u` is the standard uncertainty (coverage factor 1) in the unit of the value; NaN means unknown.
template <class Q>
struct Uncertain {
    Q value{kNaN};
    double u = kNaN;

    [[nodiscard]] bool is_known() const {
        if constexpr (std::is_floating_point_v<Q>) {
            return !std::isnan(value);
        } else {
            return value.is_known();
        }
    }
    // Half width of the 95 % interval of a normal distribution.
    [[nodiscard]] double u95() const { return 1.959963985 * u; }
};

// Independent contributions to one standard uncertainty.
template <class... Terms>
double combine_independent(Terms... terms) {
    return std::sqrt(((terms * terms) + ...));
}

}  // namespace heatrow
