// Figures over a four-sided patch of the picture.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/edges/quad.hpp"

#include <cmath>

namespace heatrow::detail {

struct PatchFigures {
    double mean = kNaN;  // weighted by area; NaN where no pixel has data
    double spread = kNaN;
    double pixels = 0.0;  // sum of the weights
    float lowest = 0.0F;  // of the pixels with weight
    float highest = 0.0F;
};

// Every pixel weighs as much as of it lies inside; pixels of the count `nodata` weigh nothing.
PatchFigures figures_of(CountView counts, const Quad& patch, float nodata);

// Largest mean of 3 x 3 pixels that all lie wholly inside; NaN where none does.
double hottest_of(CountView counts, const Quad& patch, float nodata);

}  // namespace heatrow::detail
