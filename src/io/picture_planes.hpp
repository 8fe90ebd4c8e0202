// The colours of an 8-bit picture, plane by plane.
#pragma once

#include "heatrow/core/rejection.hpp"

#include <tl/expected.hpp>

#include <array>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace heatrow::detail {

struct PicturePlanes {
    int width = 0;
    int height = 0;
    // Red, green, blue, row by row; of a grey picture the first one alone. Palette entries are looked up.
    std::array<std::vector<float>, 3> planes;
    [[nodiscard]] bool is_grey() const { return planes[1].empty(); }
};

// unreadable: no picture, or more pixels than any frame has. `name` stands before the reason.
tl::expected<PicturePlanes, Rejection> read_planes(std::span<const std::uint8_t> bytes, const std::string& name);

}  // namespace heatrow::detail
