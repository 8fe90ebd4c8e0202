// Pictures of counts as OpenCV takes them.
#pragma once

#include "heatrow/core/image.hpp"

#include <opencv2/core.hpp>

namespace heatrow::detail {

// 8 bit, stretched between the 1st and 99th percentile of the finite counts; what is not finite becomes their middle.
// Empty where nothing is finite or all is one value.
cv::Mat stretched_to_8_bit(CountView picture);

}  // namespace heatrow::detail
