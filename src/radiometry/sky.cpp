#include "heatrow/radiometry/sky.hpp"

#include <cmath>

namespace heatrow {

Celsius swinbank_sky(Celsius air) {
    constexpr double kFactor = 0.0552;  // K^-0.5
    return to_celsius(Kelvin(kFactor * std::pow(to_kelvin(air).value(), 1.5)));
}

}  // namespace heatrow
