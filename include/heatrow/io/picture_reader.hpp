// Pictures for geometry, where counts need not carry temperatures.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/rejection.hpp"

#include <tl/expected.hpp>

#include <filesystem>

namespace heatrow {

struct GreyPicture {
    Image<float> grey;
    bool is_8_bit = false;  // no thermal frame: its brightness carries no temperature
};

// A frame as read_frame reads it; else an 8-bit picture, grey, colour or palette, as the mean of its first three bands.
// unreadable: neither.
tl::expected<GreyPicture, Rejection> read_picture(const std::filesystem::path& file);

}  // namespace heatrow
