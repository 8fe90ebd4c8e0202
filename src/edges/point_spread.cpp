#include "heatrow/edges/point_spread.hpp"

#include "heatrow/edges/trail_blur.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace heatrow {

namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kPixelVariance = 1.0 / 12.0;  // of an even square, px^2

// The Airy pattern as Gaussians, widths over wavelength times f-number: least squares of its contrast, computed for
// this file. What a cell of 5 px loses comes out within 0.1 % of the integral, one of 5 x 2.5 px within 0.2 %.
constexpr std::array<SpreadTerm, 4> kAiry{{{0.7808, 0.38}, {0.1209, 1.0}, {0.0716, 3.0}, {0.0267, 12.0}}};

double diffraction_contrast(double share_of_cut_off) {
    const double x = share_of_cut_off;
    return x >= 1.0 ? 0.0 : 2.0 / kPi * (std::acos(x) - x * std::sqrt(1.0 - x * x));
}

// Of light spread by one wavelength over the aperture, in pixels of the detector.
double airy_scale(const Optics& optics) {
    return optics.wavelength_um * optics.f_number / optics.pixel_um;
}

// What trails, and by how much the place where it is looked at follows it.
struct Trail {
    double length_px = 0.0;
    double followed_px = 0.0;
};

// Mean over the inside of an even stretch of length one, blurred.
double share_kept_along(double sigma_px, double length_px, double clear_px, const Trail& trail) {
    const TrailBlur blur(sigma_px, trail.length_px);
    const double inside = length_px - 2.0 * clear_px;
    const auto step_up = [&](double place) {
        return (blur.ramp(length_px - clear_px + trail.followed_px - place) -
                blur.ramp(clear_px + trail.followed_px - place)) /
               inside;
    };
    return step_up(0.0) - step_up(length_px);
}

double share_kept_of_trailing(
    const std::vector<SpreadTerm>& spread, double along_px, double across_px, double clear_px, const Trail& trail) {
    double kept = 0.0;
    for (const SpreadTerm& term : spread) {
        kept += term.share * share_kept_along(term.sigma_px, along_px, clear_px, trail) *
                share_kept_along(term.sigma_px, across_px, clear_px, {});
    }
    return kept;
}

constexpr double kStep = 0.05;  // of a share by which something is varied

}  // namespace

double diffraction_and_pixel_contrast(const Optics& optics, double cycles_per_pixel) {
    const double pixel = cycles_per_pixel == 0.0 ? 1.0 : std::sin(kPi * cycles_per_pixel) / (kPi * cycles_per_pixel);
    return pixel * diffraction_contrast(cycles_per_pixel * airy_scale(optics));
}

std::vector<SpreadTerm> point_spread(const Optics& optics) {
    std::vector<SpreadTerm> terms;
    if (!(optics.blur_sigma_px > 0.0)) {
        return terms;
    }
    constexpr double kFinest = 0.5;  // cycles a pixel
    const double contrast = diffraction_and_pixel_contrast(optics, kFinest);
    const double blur = optics.blur_sigma_px / optics.frame_px_per_pixel;
    // Gaussian of the same contrast: exp(-2 pi^2 sigma^2 f^2)
    const double native_variance =
        contrast > 0.0 ? -std::log(contrast) / (2.0 * kPi * kPi * kFinest * kFinest) : blur * blur;
    const double defocus_variance = std::max(0.0, blur * blur - native_variance);
    for (const SpreadTerm& airy : kAiry) {
        const double sigma = airy.sigma_px * airy_scale(optics);
        terms.push_back(
            {airy.share, optics.frame_px_per_pixel * std::sqrt(sigma * sigma + kPixelVariance + defocus_variance)});
    }
    return terms;
}

double share_kept(const std::vector<SpreadTerm>& spread, double width_px, double height_px, double clear_px) {
    return share_kept_of_trailing(spread, width_px, height_px, clear_px, {});
}

double loss_by_width(const std::vector<SpreadTerm>& spread, double width_px, double height_px, double clear_px) {
    const auto log_kept = [&](double factor) {
        std::vector<SpreadTerm> wider = spread;
        for (SpreadTerm& term : wider) {
            term.sigma_px *= factor;
        }
        return std::log(share_kept(wider, width_px, height_px, clear_px));
    };
    return (log_kept(1.0 - kStep) - log_kept(1.0 + kStep)) / (2.0 * kStep);
}

double loss_by_trail(
    const std::vector<SpreadTerm>& spread, double along_px, double across_px, double clear_px, double trail_px) {
    const double followed_px = kMiddleOfMass * trail_px;
    const auto log_kept = [&](double factor) {
        return std::log(
            share_kept_of_trailing(spread, along_px, across_px, clear_px, {factor * trail_px, followed_px}));
    };
    return (log_kept(1.0 - kStep) - log_kept(1.0 + kStep)) / (2.0 * kStep);
}

}  // namespace heatrow
