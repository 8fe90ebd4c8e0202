// The flat field of a camera: what `heatrow calibrate flat-field` wrote (docs/formats/flat-field.md), and its use.
#pragma once

#include "heatrow/core/image.hpp"

#include <filesystem>
#include <optional>

namespace heatrow {

// The map, counts; NaN where a pixel holds no count. Throws Error(usage) naming the file: it cannot be read, is no map
// of floats, or is not of the frames' size.
Image<float> read_flat_field(const std::filesystem::path& file, int width_px, int height_px);

// Subtracts the map from every pixel that holds a count. No data and the end of the camera's range stay as they are,
// so that they are still known for it; a pixel without a value in the map becomes NaN.
void subtract_flat_field(Image<float>& counts,
                         ImageView<const float> map,
                         std::optional<double> nodata,
                         std::optional<float> range_end);

}  // namespace heatrow
