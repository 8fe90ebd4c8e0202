// Where a thermogram crosses a temperature, along pixel edges.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/units.hpp"

#include <Eigen/Core>

#include <vector>

namespace heatrow {

// Straight runs between pixels at or above the limit and pixels below it (or without a temperature, or outside).
// Positions in pixels; corners of pixels lie at half integers.
std::vector<std::vector<Eigen::Vector2d>> isotherm_outline(ImageView<const float> temperature_c, Celsius limit);

}  // namespace heatrow
