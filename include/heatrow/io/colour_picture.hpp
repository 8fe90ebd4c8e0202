// Pictures in visible light: for the eye, and to tell what lies on a module.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/rejection.hpp"
#include "heatrow/report/difference_scale.hpp"

#include <tl/expected.hpp>

#include <filesystem>
#include <string>

namespace heatrow {

// Colours of an 8-bit picture; grey ones three times the same. unreadable: no picture, or more pixels than any frame
// has.
tl::expected<Image<Colour>, Rejection> read_colour_picture(const std::filesystem::path& file);

// The bytes of a JPEG. The same bytes for the same pixels. Throws Error(output) where GDAL cannot make it.
std::string encode_jpeg(const Image<Colour>& pixels);

}  // namespace heatrow
