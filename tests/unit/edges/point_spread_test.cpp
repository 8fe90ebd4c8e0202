#include "heatrow/edges/point_spread.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

using namespace heatrow;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

constexpr double kPi = std::numbers::pi;

double sinc(double x) {
    return x == 0.0 ? 1.0 : std::sin(kPi * x) / (kPi * x);
}

// The share of light that pixels inside a rectangle keep, from the contrast of diffraction and pixel at all frequencies
// of the plane.
double kept_by_integral(const Optics& optics, double width, double height, double clear) {
    constexpr double kStep = 0.01;  // cycles a pixel
    const double cut_off = optics.pixel_um / (optics.wavelength_um * optics.f_number);
    double sum = 0.0;
    for (double fy = 0.5 * kStep; fy < cut_off; fy += kStep) {
        for (double fx = 0.5 * kStep; fx < cut_off; fx += kStep) {
            const double f = std::hypot(fx, fy);
            const double round = diffraction_and_pixel_contrast(optics, f) / sinc(f);
            sum += round * sinc(fx) * sinc(fy) * sinc(fx * width) * sinc(fy * height) *
                   sinc(fx * (width - 2.0 * clear)) * sinc(fy * (height - 2.0 * clear));
        }
    }
    return 4.0 * kStep * kStep * width * height * sum;
}

}  // namespace

TEST_CASE("point spread: the light inside a circle is the Airy pattern's", "[edges]") {
    // 1 - J0(pi x)^2 - J1(pi x)^2 within x wavelengths times f-number (Rayleigh 1881; textbooks, from memory): 0.838 at
    // the first dark ring. A pixel much finer than the pattern leaves it as it is.
    Optics optics;
    optics.pixel_um = 0.5;
    optics.blur_sigma_px = 1e-3;
    const double scale = optics.wavelength_um * optics.f_number / optics.pixel_um;
    for (const double x : {1.22, 2.0, 3.0, 5.0, 8.0, 12.0}) {
        const double j0 = std::cyl_bessel_j(0.0, kPi * x);
        const double j1 = std::cyl_bessel_j(1.0, kPi * x);
        double inside = 0.0;
        for (const SpreadTerm& term : point_spread(optics)) {
            inside += term.share * (1.0 - std::exp(-0.5 * std::pow(x * scale / term.sigma_px, 2.0)));
        }
        CHECK_THAT(inside, WithinAbs(1.0 - j0 * j0 - j1 * j1, 0.01));
    }
    CHECK_THAT(
        1.0 - std::pow(std::cyl_bessel_j(0.0, 1.22 * kPi), 2.0) - std::pow(std::cyl_bessel_j(1.0, 1.22 * kPi), 2.0),
        WithinAbs(0.838, 0.001));
}

TEST_CASE("point spread: what small things keep is the integral over diffraction and pixel", "[edges]") {
    for (const double f_number : {1.0, 1.4}) {
        Optics optics;
        optics.f_number = f_number;
        optics.blur_sigma_px = 0.1;  // less than diffraction and pixel: these alone
        const auto spread = point_spread(optics);
        for (const auto& [width, height] : {std::pair(5.0, 5.0), std::pair(5.2, 2.6), std::pair(10.0, 10.0)}) {
            CHECK_THAT(share_kept(spread, width, height, 0.5),
                       WithinRel(kept_by_integral(optics, width, height, 0.5), 0.004));
        }
    }
}

TEST_CASE("point spread: a stated blur widens what diffraction and pixel leave", "[edges]") {
    Optics optics;
    const auto kept = [&optics](double blur) {
        optics.blur_sigma_px = blur;
        return share_kept(point_spread(optics), 5.0, 5.0, 0.5);
    };
    CHECK(kept(0.5) > kept(0.7));
    CHECK(kept(0.7) > kept(1.0));
    CHECK(kept(0.4) == kept(0.3));
    // Far below the light that one Gaussian of the same contrast at the finest stripes would keep.
    CHECK(kept(0.5) < 0.94 * share_kept({{1.0, 0.5}}, 5.0, 5.0, 0.5));
    optics.blur_sigma_px = 0.0;
    CHECK(point_spread(optics).empty());
    // An enlarged picture: the same in its own pixels.
    optics.blur_sigma_px = 1.4;
    optics.frame_px_per_pixel = 2.0;

    Optics native;
    native.blur_sigma_px = 0.7;
    CHECK_THAT(share_kept(point_spread(optics), 10.0, 10.0, 1.0),
               WithinRel(share_kept(point_spread(native), 5.0, 5.0, 0.5), 1e-9));
}

TEST_CASE("point spread: small things lose more by a wider spread", "[edges]") {
    const auto spread = point_spread(Optics{});
    const double full = loss_by_width(spread, 5.0, 5.0, 0.5);
    const double half_cut = loss_by_width(spread, 5.2, 2.6, 0.5);
    CHECK(full > 0.1);
    CHECK(half_cut > full);
    CHECK(loss_by_width(spread, 20.0, 20.0, 0.5) < 0.5 * full);
}

TEST_CASE("point spread: small things lose more by a longer trail", "[edges]") {
    const auto spread = point_spread(Optics{});
    CHECK_THAT(loss_by_trail(spread, 5.0, 5.0, 0.5, 0.0), WithinAbs(0.0, 1e-6));
    const double short_trail = loss_by_trail(spread, 5.0, 5.0, 0.5, 0.7);
    const double long_trail = loss_by_trail(spread, 5.0, 5.0, 0.5, 2.0);
    CHECK(short_trail > 0.02);
    CHECK(long_trail > 2.0 * short_trail);
    CHECK(loss_by_trail(spread, 10.0, 10.0, 0.5, 0.7) < short_trail);
    // What lies beside the trail does not matter to the share that it takes.
    CHECK_THAT(loss_by_trail(spread, 5.0, 2.5, 0.5, 0.7), WithinRel(short_trail, 0.1));
}
