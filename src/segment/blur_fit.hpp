// Takes the blur of neighbouring patches out of their means.
#pragma once

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
// with weights from a Gaussian of standard deviation `sigma_px`: the mean over [a, b] of a patch [p, q] is
//   (F(b - p) - F(a - p) - F(b - q) + F(a - q)) / (b - a),  F(t) = t Phi(t / sigma) + sigma phi(t / sigma),
// F being the integral of the normal distribution function.
// Empty where the levels cannot be told apart. The norm of a row is the factor by which the fit multiplies the noise of
// that patch.
Eigen::MatrixXd levels_from_means(const PatchLine& line, double sigma_px);

}  // namespace heatrow::detail
