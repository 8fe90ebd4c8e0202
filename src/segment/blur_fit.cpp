#include "blur_fit.hpp"

#include <Eigen/LU>

#include <cmath>
#include <numbers>

namespace heatrow::detail {

namespace {

double integral_of_step(double t, double sigma) {
    constexpr double kFar = 8.0;
    if (t > kFar * sigma) {
        return t;
    }
    if (t < -kFar * sigma) {
        return 0.0;
    }
    const double x = t / sigma;
    return t * 0.5 * std::erfc(-x / std::numbers::sqrt2) +
           sigma * std::exp(-0.5 * x * x) / std::sqrt(2.0 * std::numbers::pi);
}

// Mean over [a, b] of a blurred step up at p.
double mean_of_step(double a, double b, double p, double sigma) {
    return (integral_of_step(b - p, sigma) - integral_of_step(a - p, sigma)) / (b - a);
}

}  // namespace

Eigen::MatrixXd levels_from_means(const PatchLine& line, double sigma_px) {
    const Eigen::Index count = static_cast<Eigen::Index>(line.real.size());
    Eigen::MatrixXd means_from_levels(count, count);
    for (Eigen::Index i = 0; i < count; ++i) {
        const PatchLine::Interval& window = line.sampled[static_cast<std::size_t>(i)];
        double before = 1.0;  // share of everything from this patch on
        for (Eigen::Index j = 0; j < count; ++j) {
            const bool last = j + 1 == count;
            const double beyond =
                last ? 0.0 : mean_of_step(window.from, window.to, line.real[static_cast<std::size_t>(j)].to, sigma_px);
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
