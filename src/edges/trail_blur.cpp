#include "heatrow/edges/trail_blur.hpp"

#include "heatrow/core/normal.hpp"

#include <cmath>
#include <numbers>

namespace heatrow {

namespace {

double normal_density(double z) {
    return std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi);
}

}  // namespace

TrailBlur::TrailBlur(double sigma_px, double trail_px) : sigma_(sigma_px), trail_(trail_px) {
    constexpr double kNoticed = 0.05;  // of the blur; keeps the exponent below in range too
    moves_ = std::abs(trail_px) > kNoticed * sigma_px;
}

TrailBlur::Values TrailBlur::trailing(double y) const {
    const double t = std::abs(trail_);
    const double z = y / sigma_;
    const double gaussian = normal_cdf(z);
    const double lagged = normal_cdf(z - sigma_ / t);
    const double tail = lagged > 0.0 ? std::exp(-y / t + 0.5 * sigma_ * sigma_ / (t * t)) * lagged : 0.0;
    return {gaussian - tail, y * gaussian + sigma_ * normal_density(z) + t * (tail - gaussian)};
}

double TrailBlur::step(double x) const {
    if (!moves_) {
        return normal_cdf(x / sigma_);
    }
    // The picture trails behind the motion: with motion towards positive x the tail points to negative x.
    const double half = std::numbers::ln2 * trail_;
    return trail_ > 0.0 ? 1.0 - trailing(half - x).distribution : trailing(x - half).distribution;
}

double TrailBlur::ramp(double x) const {
    if (!moves_) {
        const double z = x / sigma_;
        return x * normal_cdf(z) + sigma_ * normal_density(z);
    }
    const double half = std::numbers::ln2 * trail_;
    return trail_ > 0.0 ? x + trail_ - half + trailing(half - x).integral : trailing(x - half).integral;
}

}  // namespace heatrow
