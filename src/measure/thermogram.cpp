#include "heatrow/measure/thermogram.hpp"

#include "heatrow/radiometry/encoding.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {

Thermogram::Thermogram(CountView counts, const ThermogramSettings& settings, const BandRadiance& band)
    : settings_(settings), band_(&band), temperature_c_(counts.width(), counts.height()) {
    const CountTable table(settings.encoding, settings.conditions, band);
    Image<float> apparent(counts.width(), counts.height());
    const auto object = temperature_c_.view();
    for (int y = 0; y < counts.height(); ++y) {
        for (int x = 0; x < counts.width(); ++x) {
            const auto count = static_cast<double>(counts(x, y));
            object(x, y) = static_cast<float>(table.temperature(count).value());
            apparent.view()(x, y) = static_cast<float>(apparent_temperature(count, settings.encoding, band).value());
            const bool has_data = exported_temperature(count, settings.encoding).is_known();
            missing_ += has_data ? 0 : 1;
            impossible_ += has_data && std::isnan(object(x, y)) ? 1 : 0;
        }
    }
    if (settings.clipped_count) {
        counts_ = Image<float>(counts.width(), counts.height());
        for (int y = 0; y < counts.height(); ++y) {
            std::copy_n(counts.row(y), counts.width(), counts_.view().row(y));
        }
    }
    const Image<float>& seen = apparent;
    noise_ = estimate_noise(seen.view());
    const double step = std::abs(settings.encoding.scale);
    const double pixel = noise_.pixel.is_known() ? noise_.pixel.value() : 0.0;
    settings_.causes.noise = KelvinDelta(pixel);
    settings_.causes.quantisation_step = KelvinDelta(pixel >= 0.5 * step ? 0.0 : step);
    settings_.causes.non_uniformity =
        KelvinDelta(noise_.rows.is_known() ? std::hypot(noise_.rows.value(), noise_.columns.value()) : 0.0);
}

MeasuredArea Thermogram::as_measured(Celsius object, Celsius surroundings, double pixels) const {
    MeasuredArea measured;
    measured.conditions = settings_.conditions;
    measured.apparent = apparent_of_object(object, settings_.conditions, *band_);
    measured.surroundings = apparent_of_object(surroundings, settings_.conditions, *band_);
    measured.pixels = pixels;
    return measured;
}

AreaResult Thermogram::measure(const Area& area) const {
    AreaResult result;
    result.area = area;
    result.figures = measure_area(area.shape, temperature_c());
    result.surroundings = median_around(area.shape, temperature_c());
    result.reaches_outside = reaches_outside(area.shape, temperature_c_.width(), temperature_c_.height());
    result.too_small = !result.figures.hottest_3x3.value.is_known();
    const int known = result.figures.pixels - result.figures.missing;
    const auto with_budget = [this](const MeasuredArea& measured) {
        return temperature_with_budget(measured, settings_.causes, *band_);
    };
    constexpr double kSpotPixels = 9.0;
    result.measured = as_measured(result.figures.mean, result.surroundings, known);
    result.mean = with_budget(result.measured);
    result.measured_hottest = as_measured(result.figures.hottest_3x3.value, result.surroundings, kSpotPixels);
    result.hottest = with_budget(result.measured_hottest);
    result.measured_coldest = as_measured(result.figures.coldest_3x3.value, result.surroundings, kSpotPixels);
    result.coldest = with_budget(result.measured_coldest);
    if (settings_.clipped_count) {
        for (const PixelPosition pixel : pixels_of(area.shape, counts_.width(), counts_.height())) {
            if (counts_.view()(pixel.x, pixel.y) == *settings_.clipped_count) {
                result.flags.set(Flag::clipped);
                result.flags.set(Flag::lower_bound);
            }
        }
    }
    return result;
}

BudgetedDifference Thermogram::difference(Celsius a, double pixels_a, Celsius b, double pixels_b) const {
    return difference_with_budget(as_measured(a, b, pixels_a), as_measured(b, a, pixels_b), settings_.causes, *band_);
}

}  // namespace heatrow
