// Takes the blur of neighbouring patches out of their means.
#pragma once

#include "heatrow/edges/trail_blur.hpp"

#include <Eigen/Core>

#include <vector>

namespace heatrow::detail {

// Patches in a line, in px along it: where each is sampled and where it really lies.
struct PatchLine {
    struct Interval {
        double from;
        double to;
    };
    std::vector<Interval> sampled;
    std::vector<Interval> real;  // the first and the last reach to infinity
};

// Matrix that turns sampled means of patches in a line into the patches' own levels. Sampled means are sums of levels
// weighted by the blur: the mean over [a, b] of a unit step up at p is (R(b - p) - R(a - p)) / (b - a), R being the
// blur's ramp. Empty where the levels cannot be told apart. The norm of a row is the factor by which the fit multiplies
// the noise of that patch.
Eigen::MatrixXd levels_from_means(const PatchLine& line, const TrailBlur& blur);

}  // namespace heatrow::detail
