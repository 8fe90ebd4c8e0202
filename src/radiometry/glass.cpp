#include "heatrow/core/error.hpp"
#include "heatrow/radiometry/emissivity.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <string>
#include <vector>

namespace heatrow {
namespace {

constexpr std::array<OpticalConstants, 21> kSodaLime{{
    {7.0, 1.152, 0.008},  {8.0, 0.939, 0.028},  {8.2, 0.822, 0.061},  {8.4, 0.624, 0.216},  {8.5, 0.613, 0.354},
    {8.7, 0.684, 0.543},  {9.0, 0.736, 0.759},  {9.2, 0.812, 0.938},  {9.4, 0.971, 1.123},  {9.5, 1.085, 1.187},
    {9.6, 1.209, 1.232},  {9.8, 1.479, 1.240},  {10.0, 1.707, 1.123}, {10.5, 1.956, 0.809}, {11.0, 1.994, 0.485},
    {11.5, 1.864, 0.286}, {12.0, 1.733, 0.222}, {12.5, 1.612, 0.244}, {13.0, 1.606, 0.306}, {13.5, 1.615, 0.304},
    {14.0, 1.615, 0.280},
}};

constexpr double kQuarterTurn = std::numbers::pi / 2.0;

// One strip of the band: its optical constants and its share of the radiance.
struct Strip {
    OpticalConstants glass;
    double weight;
};

double response_at(const std::vector<ResponsePoint>& response, double wavelength_um) {
    const auto above = std::find_if(response.begin() + 1, response.end() - 1, [wavelength_um](const auto& point) {
        return point.wavelength_um >= wavelength_um;
    });
    const ResponsePoint a = *(above - 1);
    const ResponsePoint b = *above;
    return a.response +
           (b.response - a.response) * (wavelength_um - a.wavelength_um) / (b.wavelength_um - a.wavelength_um);
}

std::vector<Strip> strips_of(const std::vector<ResponsePoint>& response, Kelvin temperature) {
    constexpr double kWidestUm = 0.02;
    const double low_um = response.front().wavelength_um;
    const double width_um = response.back().wavelength_um - low_um;
    const int count = static_cast<int>(std::ceil(width_um / kWidestUm));
    std::vector<Strip> strips;
    strips.reserve(static_cast<std::size_t>(count));
    double sum = 0.0;
    for (int i = 0; i < count; ++i) {
        const double middle = low_um + width_um * (i + 0.5) / count;
        const double weight = response_at(response, middle) * spectral_radiance(middle, temperature);
        strips.push_back({soda_lime_glass_at(middle), weight});
        sum += weight;
    }
    for (Strip& strip : strips) {
        strip.weight /= sum;
    }
    return strips;
}

}  // namespace

std::span<const OpticalConstants> soda_lime_glass() {
    return kSodaLime;
}

OpticalConstants soda_lime_glass_at(double wavelength_um) {
    if (!(wavelength_um >= kSodaLime.front().wavelength_um && wavelength_um <= kSodaLime.back().wavelength_um)) {
        return {wavelength_um, kNaN, kNaN};
    }
    const auto* above = std::find_if(kSodaLime.begin() + 1, kSodaLime.end() - 1, [wavelength_um](const auto& row) {
        return row.wavelength_um >= wavelength_um;
    });
    const OpticalConstants a = *(above - 1);
    const OpticalConstants b = *above;
    const double share = (wavelength_um - a.wavelength_um) / (b.wavelength_um - a.wavelength_um);
    return {wavelength_um, a.n + share * (b.n - a.n), a.k + share * (b.k - a.k)};
}

Reflectances fresnel_reflectances(OpticalConstants glass, Radians from_normal) {
    const double cosine = std::max(0.0, std::cos(from_normal.value()));
    const double sine = std::sin(from_normal.value());
    const std::complex<double> index_squared = std::pow(std::complex<double>(glass.n, glass.k), 2);
    const std::complex<double> inner = std::sqrt(index_squared - sine * sine);
    return {std::norm((cosine - inner) / (cosine + inner)),
            std::norm((index_squared * cosine - inner) / (index_squared * cosine + inner))};
}

double fresnel_emissivity(OpticalConstants glass, Radians from_normal) {
    const Reflectances r = fresnel_reflectances(glass, from_normal);
    return 1.0 - 0.5 * (r.s + r.p);
}

bool GlassEmissivity::covers(const std::vector<ResponsePoint>& response) {
    return response.size() >= 2 && response.front().wavelength_um >= kSodaLime.front().wavelength_um &&
           response.back().wavelength_um <= kSodaLime.back().wavelength_um &&
           response.front().wavelength_um < response.back().wavelength_um;
}

GlassEmissivity::GlassEmissivity(Band band, Kelvin glass) : GlassEmissivity(response_of(band), glass) {}

GlassEmissivity::GlassEmissivity(const std::vector<ResponsePoint>& response, Kelvin glass) {
    if (!covers(response)) {
        const std::string limits = response.size() < 2 ? "with fewer than two points"
                                                       : std::to_string(response.front().wavelength_um) + " to " +
                                                             std::to_string(response.back().wavelength_um) + " um";
        throw Error(ErrorKind::usage,
                    "cannot compute the emissivity of glass",
                    "",
                    "the band " + limits + " is not inside 7 to 14 um, where its optical constants are published",
                    "State a band inside 7 to 14 um, or a fixed emissivity.");
    }
    const std::vector<Strip> strips = strips_of(response, glass);
    for (int i = 0; i <= kStepsPerQuarterTurn; ++i) {
        const Radians angle(kQuarterTurn * i / kStepsPerQuarterTurn);
        double sum = 0.0;
        for (const Strip& strip : strips) {
            sum += strip.weight * fresnel_emissivity(strip.glass, angle);
        }
        table_[static_cast<std::size_t>(i)] = sum;
    }
}

double GlassEmissivity::operator()(Radians from_normal) const {
    const double position = from_normal.value() / kQuarterTurn * kStepsPerQuarterTurn;
    if (!(position >= 0.0 && position <= kStepsPerQuarterTurn)) {
        return kNaN;
    }
    const int i = std::min(static_cast<int>(position), kStepsPerQuarterTurn - 1);
    const double share = position - i;
    const double a = table_[static_cast<std::size_t>(i)];
    const double b = table_[static_cast<std::size_t>(i) + 1];
    return a + share * (b - a);
}

}  // namespace heatrow
