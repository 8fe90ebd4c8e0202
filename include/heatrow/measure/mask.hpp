// Sets of pixels, and how far pixels lie from them.
#pragma once

#include "heatrow/core/image.hpp"

#include <cstdint>
#include <vector>

namespace heatrow {

// 1 inside, 0 outside; the size of the picture or of a window of it.
using Mask = Image<std::uint8_t>;

// Squared distance in px^2 from each pixel to the nearest pixel of the set, exact, between pixel centres; 0 inside it.
// Infinite everywhere for an empty set. Method: Felzenszwalb & Huttenlocher 2012, lower envelope of parabolas.
Image<float> squared_distance_to(const Mask& set);

// A connected set of pixels (neighbours share an edge), with the window that it fills.
struct Component {
    int left = 0;  // smallest and largest pixel positions, inclusive
    int top = 0;
    int right = 0;
    int bottom = 0;
    std::vector<int> pixels;  // row-major indices in the picture, in no particular but a reproducible order

    [[nodiscard]] int area() const { return static_cast<int>(pixels.size()); }
};

// Components of at least `least_area` pixels, in the order of their first pixel, rows first.
std::vector<Component> components_of(const Mask& mask, int least_area);

}  // namespace heatrow
