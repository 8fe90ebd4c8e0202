#include "surfaces.hpp"

#include <algorithm>
#include <cmath>
#include <complex>

namespace scene {
namespace {

// Refractive index of soda-lime glass in the far infrared: Rubin 1985, Solar Energy Materials 12, 275-288 (clear,
// coloured and low-iron glass alike); wavelength in micrometres, n, k.
struct Index {
    double wavelength, n, k;
};
constexpr std::array<Index, 22> kSodaLime{
    {{7.0, 1.152, 0.008},  {8.0, 0.939, 0.028},  {8.2, 0.822, 0.061},  {8.4, 0.624, 0.216},  {8.5, 0.613, 0.354},
     {8.7, 0.684, 0.543},  {9.0, 0.736, 0.759},  {9.2, 0.812, 0.938},  {9.4, 0.971, 1.123},  {9.5, 1.085, 1.187},
     {9.6, 1.209, 1.232},  {9.8, 1.479, 1.240},  {10.0, 1.707, 1.123}, {10.5, 1.956, 0.809}, {11.0, 1.994, 0.485},
     {11.5, 1.864, 0.286}, {12.0, 1.733, 0.222}, {12.5, 1.612, 0.244}, {13.0, 1.606, 0.306}, {13.5, 1.615, 0.304},
     {14.0, 1.615, 0.280}, {15.0, 1.615, 0.280}}};

std::complex<double> index_at(double wavelength) {
    std::size_t i = 0;
    while (i + 2 < kSodaLime.size() && kSodaLime[i + 1].wavelength <= wavelength) {
        ++i;
    }
    const Index& a = kSodaLime[i];
    const Index& b = kSodaLime[i + 1];
    const double share = (wavelength - a.wavelength) / (b.wavelength - a.wavelength);
    return {a.n + share * (b.n - a.n), a.k + share * (b.k - a.k)};
}

// 1 - (|r_s|^2 + |r_p|^2) / 2 of an opaque body (Fresnel).
double fresnel_emissivity(std::complex<double> n, double cosine) {
    const double sine2 = 1.0 - cosine * cosine;
    const std::complex<double> c = std::sqrt(n * n - sine2);
    const std::complex<double> r_s = (cosine - c) / (cosine + c);
    const std::complex<double> r_p = (n * n * cosine - c) / (n * n * cosine + c);
    return 1.0 - 0.5 * (std::norm(r_s) + std::norm(r_p));
}

// Relative Planck weight at 323.15 K; wavelength in micrometres.
double weight(double wavelength) {
    return 1.0 / (std::pow(wavelength, 5.0) * std::expm1(14387.769 / (wavelength * 323.15)));
}

}  // namespace

GlassEmissivity::GlassEmissivity(double offset) {
    constexpr int kSteps = 130;
    for (int i = 0; i < kCount; ++i) {
        const double cosine = static_cast<double>(i) / (kCount - 1);
        double sum = 0.0;
        double weights = 0.0;
        for (int k = 0; k < kSteps; ++k) {
            const double wavelength = 7.5 + (k + 0.5) * 6.5 / kSteps;
            sum += weight(wavelength) * fresnel_emissivity(index_at(wavelength), cosine);
            weights += weight(wavelength);
        }
        table_[static_cast<std::size_t>(i)] = std::clamp(sum / weights + offset, 0.0, 1.0);
    }
}

}  // namespace scene
