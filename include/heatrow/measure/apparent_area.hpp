// An area of a thermogram as a determination needs it: its mean apparent temperature with the area's own uncertainty.
#pragma once

#include "heatrow/measure/thermogram.hpp"
#include "heatrow/radiometry/determination.hpp"

namespace heatrow {

// `thermogram` read with emissivity 1 and no air path, so that its temperatures are apparent ones. The uncertainty
// holds noise, rounding, fixed pattern, and sampling: the spread over the area with one independent sample per 3 x 3
// pixels, neighbours being blurred together. Throws Error(usage) where the area reaches outside the picture,
// Error(input) where it holds no 3 x 3 pixels, has pixels without data, or pixels at the end of the camera's range.
ApparentArea apparent_area(const Thermogram& thermogram, const Area& area);

}  // namespace heatrow
