#include "axis_fit.hpp"

#include "heatrow/edges/trail_blur.hpp"

#include <cmath>
#include <mutex>
#include <utility>

namespace heatrow::detail {

namespace {

// Weighting pixels by area averages once more over a pixel; its variance adds to the blur's.
constexpr double kAreaWeightVariance = 1.0 / 12.0;
// A fit that multiplies the noise of a cell's mean by more than this is not worth having (own choice). Trails of 0.7 of
// a cell multiply it by five, which is 0.1 K for pixels of 50 mK, and lose a third of the difference without a fit.
constexpr double kMostAmplification = 12.0;

}  // namespace

int whole_px(double length_px) {
    return static_cast<int>(std::lround(length_px));
}

int eighths_px(double trail_px) {
    return static_cast<int>(std::lround(8.0 * trail_px));
}

int whole_mm(double length_m) {
    return static_cast<int>(std::lround(1000.0 * length_m));
}

const AxisFit& AxisFits::fit(const AxisKey& key, const ModuleType& type) {
    {
        const std::shared_lock lock(mutex_);
        if (const auto found = made_.find(key); found != made_.end()) {
            return *found->second;
        }
    }
    auto fit = std::make_unique<const AxisFit>(make(key, type));
    const std::unique_lock lock(mutex_);
    return *made_.emplace(key, std::move(fit)).first->second;
}

AxisFit AxisFits::make(const AxisKey& key, const ModuleType& type) const {
    const double length_m = (key.axis == Axis::across ? type.width : type.height).value();
    const double px_per_m = key.length_px / length_m;
    const double trail_m = 0.125 * key.trail_eighth_px / px_per_m;
    const double before_m = 0.001 * key.band_before_mm;
    const double after_m = 0.001 * key.band_after_mm;
    AxisFit fit;
    const double edge_m = edge_px_ / px_per_m;
    fit.patches = key.axis == Axis::across ? patches_along_width(type, before_m, after_m, edge_m)
                                           : patches_along_height(type, before_m, after_m, edge_m);
    if (spread_.empty()) {
        return fit;
    }
    LineBlur blur;
    for (const SpreadTerm& term : spread_) {
        blur.optics.push_back({term.share, std::sqrt(term.sigma_px * term.sigma_px + kAreaWeightVariance) / px_per_m});
    }
    blur.trail = trail_m;
    blur.sampled_shift = kMiddleOfMass * trail_m;
    blur.sheet = sheet_;
    if (blur.sheet) {
        blur.sheet->loss_w_m2k = key.loss_w_m2k;
    }
    fit.line = fit_line(fit.patches, blur);
    if (!fit.line.empty() && fit.line.noise_growth() > kMostAmplification) {
        fit.line = {};
    }
    return fit;
}

}  // namespace heatrow::detail
