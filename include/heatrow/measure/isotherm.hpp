// How much of a thermogram is at or above a temperature.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/measure/areas.hpp"

namespace heatrow {

struct IsothermFigures {
    int known = 0;           // pixels of the area with a temperature
    int above = 0;           // of these, at or above the limit
    double share = kNaN;     // above over known; NaN where none is known
    double square_m = kNaN;  // of a surface square to the line of sight; NaN where the footprint is not known
};

// `footprint`: side of what one pixel sees; NaN where it is not known.
IsothermFigures isotherm_of(const AreaShape& shape,
                            ImageView<const float> temperature_c,
                            Celsius limit,
                            Metres footprint);

}  // namespace heatrow
