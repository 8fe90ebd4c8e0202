// Noise of one thermogram, from the picture itself.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/units.hpp"

namespace heatrow {

struct NoiseEstimate {
    KelvinDelta pixel{kNaN};  // standard deviation from pixel to pixel: noise, fixed pattern and quantisation together
    KelvinDelta rows{kNaN};   // of whole rows against their neighbours beyond what `pixel` alone would give
    KelvinDelta columns{kNaN};  // of whole columns
};

// From second differences, which a smooth scene does not feed: `pixel` is the robust spread of the 3 x 3 mask
// (1 -2 1; -2 4 -2; 1 -2 1) over its norm 6 (Immerkaer 1996), which drops rows and columns as a whole; `rows` and
// `columns` are the robust spread of second differences of row and column means. NaN below 16 pixels a side.
// A picture whose steps are coarser than its noise gives a value near step / sqrt(12) or zero, not less than it hides.
NoiseEstimate estimate_noise(ImageView<const float> temperature_c);

}  // namespace heatrow
