#include "lower_mode.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

// Kernels farther away than this many widths add nothing that matters.
constexpr double kKernelReach = 4.0;
constexpr double kBiweightReach = 3.0;
constexpr int kBiweightSteps = 12;

// Sorted values in, density at each of them out.
std::vector<double> densities(const std::vector<double>& values, double width) {
    std::vector<double> density(values.size(), 1.0);
    for (std::size_t i = 0; i < values.size(); ++i) {
        for (std::size_t j = i + 1; j < values.size() && values[j] - values[i] < kKernelReach * width; ++j) {
            const double z = (values[j] - values[i]) / width;
            const double kernel = std::exp(-0.5 * z * z);
            density[i] += kernel;
            density[j] += kernel;
        }
    }
    return density;
}

double lowest_dense_value(const std::vector<double>& values, double width, double share) {
    const auto density = densities(values, width);
    const double enough = share * *std::max_element(density.begin(), density.end());
    for (std::size_t i = 0; i < values.size(); ++i) {
        const bool rises_before = i == 0 || density[i] >= density[i - 1];
        const bool falls_after = i + 1 == values.size() || density[i] >= density[i + 1];
        if (density[i] >= enough && rises_before && falls_after) {
            return values[i];
        }
    }
    return values.front();  // not reached: the densest value passes
}

}  // namespace

LowerMode lower_mode(std::vector<double> values, double spread, double share) {
    std::sort(values.begin(), values.end());
    LowerMode mode;
    mode.value = lowest_dense_value(values, spread, share);
    double weights = 0.0;
    double squares = 0.0;
    for (int step = 0; step < kBiweightSteps; ++step) {
        double sum = 0.0;
        weights = 0.0;
        squares = 0.0;
        mode.members = 0;
        for (const double value : values) {
            const double r = (value - mode.value) / (kBiweightReach * spread);
            if (std::abs(r) >= 1.0) {
                continue;
            }
            const double weight = (1.0 - r * r) * (1.0 - r * r);
            sum += weight * (value - mode.value);
            weights += weight;
            squares += weight * weight;
            ++mode.members;
        }
        mode.value += sum / weights;
    }
    mode.u = spread * std::sqrt(squares) / weights;
    return mode;
}

}  // namespace heatrow
