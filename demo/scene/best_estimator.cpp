#include "best_estimator.hpp"

#include "heatrow/core/normal.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <cmath>
#include <numbers>

namespace scene {
namespace {

constexpr int kCells = 5;  // each way: what lies further off does not reach the middle one

// Share that a cell from `low` to `high` has in the pixel at `at`, along one axis.
double share(double low, double high, double at, double sigma, double smear) {
    const double width = std::max(sigma, 1e-3);
    // The detector's exponential answer in steps of equal weight, about its median, as the renderer has it.
    constexpr int kSteps = 16;
    double sum = 0.0;
    for (int i = 0; i < kSteps; ++i) {
        const double lag = smear * (-std::log(1.0 - (i + 0.5) / kSteps) - std::numbers::ln2);
        sum += heatrow::normal_cdf((high - at + lag) / width) - heatrow::normal_cdf((low - at + lag) / width);
    }
    return sum / kSteps;
}

// Row per pixel, column per cell: shares along one axis.
Eigen::MatrixXd shares(double size_px, double phase, double sigma, double smear) {
    const int pixels = static_cast<int>(std::ceil(kCells * size_px));
    Eigen::MatrixXd result(pixels, kCells);
    for (int pixel = 0; pixel < pixels; ++pixel) {
        for (int cell = 0; cell < kCells; ++cell) {
            result(pixel, cell) = share(cell * size_px, (cell + 1) * size_px, pixel + phase, sigma, smear);
        }
    }
    return result;
}

}  // namespace

double best_cell_error_k(const CellViewing& viewing, double delta_k) {
    // A pixel is the product of its shares along both axes, so the normal matrix of the 25 cells is the Kronecker
    // product of two small ones, and so is its inverse: the middle cell's variance is a product of two numbers.
    const auto inverse_middle = [](double size_px, double sigma, double smear) {
        constexpr int kPhases = 5;
        Eigen::MatrixXd normal = Eigen::MatrixXd::Zero(kCells, kCells);
        for (int i = 0; i < kPhases; ++i) {
            const Eigen::MatrixXd a = shares(size_px, (i + 0.5) / kPhases, sigma, smear);
            normal += a.transpose() * a / kPhases;
        }
        const Eigen::MatrixXd inverse = normal.ldlt().solve(Eigen::MatrixXd::Identity(kCells, kCells));
        return inverse(kCells / 2, kCells / 2);
    };
    const double noise_variance = viewing.noise_k * viewing.noise_k / viewing.views *
                                  inverse_middle(viewing.width_px, viewing.blur_sigma_px, viewing.smear_px) *
                                  inverse_middle(viewing.height_px, viewing.blur_sigma_px, 0.0);
    constexpr double kEmissivity = 0.88;  // near the normal of glass; only the relative width matters here
    const double relative_variance =
        (viewing.gain_share * viewing.gain_share + std::pow(viewing.emissivity / kEmissivity, 2.0)) / 3.0;
    return std::sqrt(noise_variance + relative_variance * delta_k * delta_k);
}

}  // namespace scene
