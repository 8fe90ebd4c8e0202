#include "blur_fit.hpp"

#include <Eigen/LU>

namespace heatrow::detail {

namespace {

// Mean over [a, b] of a blurred step up at p.
double mean_of_step(double a, double b, double p, const TrailBlur& blur) {
    return (blur.ramp(b - p) - blur.ramp(a - p)) / (b - a);
}

}  // namespace

Eigen::MatrixXd levels_from_means(const PatchLine& line, const TrailBlur& blur) {
    const Eigen::Index count = static_cast<Eigen::Index>(line.real.size());
    Eigen::MatrixXd means_from_levels(count, count);
    for (Eigen::Index i = 0; i < count; ++i) {
        const PatchLine::Interval& window = line.sampled[static_cast<std::size_t>(i)];
        double before = 1.0;  // share of everything from this patch on
        for (Eigen::Index j = 0; j < count; ++j) {
            const bool last = j + 1 == count;
            const double beyond =
                last ? 0.0 : mean_of_step(window.from, window.to, line.real[static_cast<std::size_t>(j)].to, blur);
            means_from_levels(i, j) = before - beyond;
            before = beyond;
        }
    }
    const Eigen::FullPivLU<Eigen::MatrixXd> solver(means_from_levels);
    if (!solver.isInvertible()) {
        return {};
    }
    return solver.inverse();
}

}  // namespace heatrow::detail
