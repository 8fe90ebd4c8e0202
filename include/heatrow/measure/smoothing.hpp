// Quieter pictures for finding things; figures are always taken from the picture as measured.
#pragma once

#include "heatrow/core/image.hpp"

namespace heatrow {

// Gaussian mean over the known pixels around each pixel; NaN where a pixel is NaN. Sigma in px, above zero.
Image<float> smooth(ImageView<const float> picture, double sigma_px);

}  // namespace heatrow
