// A field from the differences of its neighbouring pixels.
#pragma once

#include "heatrow/core/image.hpp"

#include <span>

namespace heatrow::detail {

// Medians over the frames of the differences to the right neighbour (right(x, y) = f(x + 1, y) - f(x, y), last column
// unused) and to the lower one; NaN where fewer than half of the frames have both pixels.
struct GradientField {
    Image<double> right;
    Image<double> down;
};
GradientField median_gradients(std::span<const Image<float>* const> frames);

// The field of mean 0 whose differences are closest to the given ones in least squares. Differences that are NaN count
// as 0.
Image<double> integrate(const GradientField& gradients);

}  // namespace heatrow::detail
