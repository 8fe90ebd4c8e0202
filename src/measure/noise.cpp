#include "heatrow/measure/noise.hpp"

#include "heatrow/core/median.hpp"

#include <cmath>
#include <cstddef>
#include <vector>

namespace heatrow {
namespace {

constexpr int kLeastSide = 16;

// Spread of whole lines: standard deviation of one line against its neighbours, from second differences of line means.
double line_spread(const std::vector<double>& line_means, double pixel_noise, int pixels_per_line) {
    std::vector<double> second;
    for (std::size_t i = 1; i + 1 < line_means.size(); ++i) {
        second.push_back(line_means[i - 1] - 2.0 * line_means[i] + line_means[i + 1]);
    }
    constexpr double kNormSquared = 6.0;  // 1 + 4 + 1
    const double sigma = robust_sigma(std::move(second));
    const double variance = sigma * sigma / kNormSquared - pixel_noise * pixel_noise / pixels_per_line;
    return std::sqrt(std::max(variance, 0.0));
}

}  // namespace

NoiseEstimate estimate_noise(ImageView<const float> t) {
    NoiseEstimate estimate;
    if (t.width() < kLeastSide || t.height() < kLeastSide) {
        return estimate;
    }
    const auto at = [&t](int x, int y) { return static_cast<double>(t(x, y)); };
    std::vector<double> responses;
    for (int y = 1; y + 1 < t.height(); ++y) {
        for (int x = 1; x + 1 < t.width(); ++x) {
            responses.push_back(at(x - 1, y - 1) - 2.0 * at(x, y - 1) + at(x + 1, y - 1) - 2.0 * at(x - 1, y) +
                                4.0 * at(x, y) - 2.0 * at(x + 1, y) + at(x - 1, y + 1) - 2.0 * at(x, y + 1) +
                                at(x + 1, y + 1));
        }
    }
    constexpr double kNorm = 6.0;  // root of the sum of squared weights, 36
    const double pixel = robust_sigma(std::move(responses)) / kNorm;
    std::vector<double> rows;
    std::vector<double> columns(static_cast<std::size_t>(t.width()), 0.0);
    for (int y = 0; y < t.height(); ++y) {
        double sum = 0.0;
        for (int x = 0; x < t.width(); ++x) {
            sum += at(x, y);
            columns[static_cast<std::size_t>(x)] += at(x, y) / t.height();
        }
        rows.push_back(sum / t.width());
    }
    estimate.pixel = KelvinDelta(pixel);
    estimate.rows = KelvinDelta(line_spread(rows, pixel, t.width()));
    estimate.columns = KelvinDelta(line_spread(columns, pixel, t.height()));
    return estimate;
}

}  // namespace heatrow
