// How small an object can be and still be measured.
#pragma once

#include "heatrow/core/units.hpp"

namespace heatrow {

// An object must cover 3 x 3 pixels for its temperature to be read (practice for good optics, V2; poor optics need up
// to 10 x 10).
inline constexpr double kSpotPixels = 3.0;

// Side of what one pixel sees on a surface square to the line of sight. focal_px: focal length over pixel pitch. NaN
// for a distance or a focal length not above zero.
Metres pixel_footprint(Metres distance, double focal_px);

// Side of the smallest measurable object, kSpotPixels footprints.
Metres smallest_object(Metres distance, double focal_px);

}  // namespace heatrow
