// Maps over the picture as a file.
#pragma once

#include "heatrow/core/image.hpp"

#include <string>

namespace heatrow {

// The bytes of a TIFF of one band of 32-bit floats, DEFLATE, predictor 3; NaN is declared as no data. The same bytes
// for the same pixels. Throws Error(output) where GDAL cannot make it.
std::string encode_float_tiff(ImageView<const float> map);

}  // namespace heatrow
