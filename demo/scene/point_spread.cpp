#include "point_spread.hpp"

#include "heatrow/core/error.hpp"

#include <Eigen/Core>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace scene {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kFinest = 0.5;  // cycles a pixel

// Contrast that round optics without aberration leaves; x: share of the cut-off frequency.
double diffraction_contrast(double x) {
    return x >= 1.0 ? 0.0 : 2.0 / kPi * (std::acos(x) - x * std::sqrt(1.0 - x * x));
}

double pixel_contrast(double cycles) {
    return cycles == 0.0 ? 1.0 : std::sin(kPi * cycles) / (kPi * cycles);
}

double gaussian_contrast(double sigma_px, double cycles) {
    return std::exp(-2.0 * kPi * kPi * sigma_px * sigma_px * cycles * cycles);
}

// Weight of a wavelength (micrometres): light of a body at 300 K.
double light(double wavelength_um) {
    return 1.0 / (std::pow(wavelength_um, 5.0) * std::expm1(14387.769 / (wavelength_um * 300.0)));
}

}  // namespace

double PointSpread::optics(double cycles) const {
    if (!diffraction_) {
        return gaussian_contrast(gaussian_px_, cycles);
    }
    constexpr int kWavelengths = 13;
    double sum = 0.0;
    double weights = 0.0;
    for (int i = 0; i < kWavelengths; ++i) {
        const double wavelength = 7.75 + 0.5 * i;  // the middles of half micrometres, 7.5 to 14
        sum += light(wavelength) * diffraction_contrast(cycles * wavelength / cutoff_at_1_um_);
        weights += light(wavelength);
    }
    return sum / weights * gaussian_contrast(gaussian_px_, cycles);
}

double PointSpread::contrast(double cycles) const {
    return optics(cycles) * (diffraction_ ? pixel_contrast(cycles) : 1.0);
}

PointSpread::PointSpread(const CameraSpec& stated, double width_factor)
    : width_factor_(width_factor),
      diffraction_(stated.diffraction),
      cutoff_at_1_um_(stated.pixel_um / stated.f_number),
      gaussian_px_(diffraction_ ? 0.0 : stated.blur_sigma_px) {
    if (diffraction_) {
        const double native = std::sqrt(-std::log(contrast(kFinest)) / (2.0 * kPi * kPi * kFinest * kFinest));
        constexpr double kRounding = 0.03;  // px; blurs are stated to a digit or two
        if (stated.blur_sigma_px < native - kRounding) {
            throw heatrow::Error(
                heatrow::ErrorKind::usage,
                "Could not render the scene",
                "camera.blur_sigma_px",
                fmt::format("{} is sharper than diffraction at f/{} and a pixel of {} um allow ({:.2f})",
                            stated.blur_sigma_px,
                            stated.f_number,
                            stated.pixel_um,
                            native),
                "State more blur, a smaller f_number or a larger pixel_um.");
        }
        gaussian_px_ = std::sqrt(std::max(0.0, stated.blur_sigma_px * stated.blur_sigma_px - native * native));
    }
    tabulate();
}

// The spread is the cosine transform of the contrast over both frequencies; diffraction cuts them off.
void PointSpread::tabulate() {
    constexpr double kStep = 0.01;  // cycles a pixel: repeats after 100 px
    const double highest = diffraction_ ? cutoff_at_1_um_ / 7.5 : 1.0 / std::max(0.2, gaussian_px_);
    const int count = static_cast<int>(std::ceil(highest / kStep));
    Eigen::MatrixXd contrast_at(count, count);
    for (int j = 0; j < count; ++j) {
        for (int i = 0; i < count; ++i) {
            const double fx = i * kStep;
            const double fy = j * kStep;
            const double square = diffraction_ ? pixel_contrast(fx) * pixel_contrast(fy) : 1.0;
            const double edge = (i == 0 ? 0.5 : 1.0) * (j == 0 ? 0.5 : 1.0);  // zero is shared by both signs
            contrast_at(i, j) = edge * square * optics(std::hypot(fx, fy));
        }
    }
    Eigen::MatrixXd waves(kNodes, count);
    for (int i = 0; i < count; ++i) {
        for (int node = 0; node < kNodes; ++node) {
            waves(node, i) = 2.0 * kStep * std::cos(2.0 * kPi * i * kStep * node / kPerPixel);
        }
    }
    const Eigen::MatrixXd spread = waves * contrast_at * waves.transpose();
    table_.resize(static_cast<std::size_t>(kNodes) * kNodes);
    for (int j = 0; j < kNodes; ++j) {
        for (int i = 0; i < kNodes; ++i) {
            table_[static_cast<std::size_t>(j * kNodes + i)] = std::max(0.0, spread(i, j));
        }
    }
}

double PointSpread::at(double dx, double dy) const {
    const double px = std::abs(dx) / width_factor_ * kPerPixel;
    const double py = std::abs(dy) / width_factor_ * kPerPixel;
    if (px >= kNodes - 1 || py >= kNodes - 1) {
        return 0.0;
    }
    const int ix = static_cast<int>(px);
    const int iy = static_cast<int>(py);
    const double fx = px - ix;
    const double fy = py - iy;
    const double* row = table_.data() + static_cast<std::ptrdiff_t>(iy) * kNodes + ix;
    const double upper = row[0] + fx * (row[1] - row[0]);
    const double lower = row[kNodes] + fx * (row[kNodes + 1] - row[kNodes]);
    return (upper + fy * (lower - upper)) / (width_factor_ * width_factor_);
}

}  // namespace scene
