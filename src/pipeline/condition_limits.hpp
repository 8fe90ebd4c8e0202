// The flags of a frame that say that its conditions lie beyond the profile's limits.
#pragma once

#include "heatrow/core/flags.hpp"

#include <array>

namespace heatrow {

inline constexpr std::array kConditionLimits{
    Flag::irradiance_below_minimum, Flag::irradiance_unsteady, Flag::wind_above_maximum, Flag::cloud_above_maximum};

}  // namespace heatrow
