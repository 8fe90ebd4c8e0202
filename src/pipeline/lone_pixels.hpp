// Defective pixels that the camera did not replace.
#pragma once

#include "heatrow/core/image.hpp"

#include <optional>

namespace heatrow {

// Pixels that stand out from all eight around them by `least` counts at least, one way, while the four beside them do not
// follow: no lens makes that. A point of heat in the middle of a pixel lights the four beside it with 0.13 of its own rise
// each even at a blur of 0.4 px (Gaussian over square pixels); here they rise by less than 0.08 of it. Each takes the
// mean of those four. Borders, and pixels beside one without data, stay. Returns how many there were.
int replace_lone_pixels(ImageView<float> counts, double least, const std::optional<double>& nodata);

}  // namespace heatrow
