#include "heatrow/radiometry/blackbody.hpp"

#include "heatrow/core/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <string>

namespace heatrow {
namespace {

// CODATA 2019 (exact in the SI), in units of micrometres.
constexpr double kFirstConstant = 1.1910429723971884e8;    // 2 h c^2, W um^4 / (m2 sr)
constexpr double kSecondConstant = 1.4387768775039337e4;   // h c / k, um K
constexpr double kStefanBoltzmann = 5.670374419184431e-8;  // W / (m2 K4)

constexpr int kIntervals = 512;
constexpr double kLowestInverse = 1.0 / BandRadiance::kHighest.value();
constexpr double kStep = (1.0 / BandRadiance::kLowest.value() - kLowestInverse) / kIntervals;

// Below this x = c2 / (lambda T) the series in powers of x is the quicker one.
constexpr double kSeriesChange = 1.0;

// In-band radiance and its derivative with temperature.
struct Exact {
    double radiance;
    double derivative;
};

Exact exact_flat(Band band, double kelvin) {
    const Kelvin t(kelvin);
    const double total = kStefanBoltzmann * kelvin * kelvin * kelvin * kelvin / std::numbers::pi;
    const double radiance =
        total * (blackbody_fraction(band.high_um * kelvin) - blackbody_fraction(band.low_um * kelvin));
    // d/dT of sigma T^4 / pi F(lambda T), with dF/d(lambda T) = pi L_lambda / (sigma T^5)
    const double edges =
        band.high_um * spectral_radiance(band.high_um, t) - band.low_um * spectral_radiance(band.low_um, t);
    return {radiance, (4.0 * radiance + edges) / kelvin};
}

// d L_lambda / dT
double spectral_derivative(double wavelength_um, double kelvin) {
    const double x = kSecondConstant / (wavelength_um * kelvin);
    return spectral_radiance(wavelength_um, Kelvin(kelvin)) * x / (kelvin * -std::expm1(-x));
}

Exact exact_curve(const std::vector<ResponsePoint>& response, double kelvin) {
    // Gauss-Legendre, five points, on pieces of at most 0.25 um
    constexpr std::array<double, 5> kAbscissa{
        -0.9061798459386640, -0.5384693101056831, 0.0, 0.5384693101056831, 0.9061798459386640};
    constexpr std::array<double, 5> kWeight{
        0.2369268850561891, 0.4786286704993665, 0.5688888888888889, 0.4786286704993665, 0.2369268850561891};
    constexpr double kLongestPieceUm = 0.25;
    Exact sum{0.0, 0.0};
    for (std::size_t i = 0; i + 1 < response.size(); ++i) {
        const ResponsePoint a = response[i];
        const ResponsePoint b = response[i + 1];
        const double length = b.wavelength_um - a.wavelength_um;
        const int pieces = std::max(1, static_cast<int>(std::ceil(length / kLongestPieceUm)));
        const double half = 0.5 * length / pieces;
        for (int piece = 0; piece < pieces; ++piece) {
            const double middle = a.wavelength_um + half * (2 * piece + 1);
            for (std::size_t k = 0; k < kAbscissa.size(); ++k) {
                const double wavelength = middle + half * kAbscissa[k];
                const double share = (wavelength - a.wavelength_um) / length;
                const double weight = half * kWeight[k] * (a.response + share * (b.response - a.response));
                sum.radiance += weight * spectral_radiance(wavelength, Kelvin(kelvin));
                sum.derivative += weight * spectral_derivative(wavelength, kelvin);
            }
        }
    }
    return sum;
}

[[noreturn]] void refuse(std::string_view why, std::string_view remedy) {
    throw Error(ErrorKind::usage, "cannot tabulate the camera's band", "", why, remedy);
}

void require_valid(Band band) {
    if (!(band.low_um > 0.0) || !std::isfinite(band.high_um) || !(band.high_um > band.low_um)) {
        refuse("its limits are " + std::to_string(band.low_um) + " and " + std::to_string(band.high_um) + " um",
               "Give the lower limit first, both in micrometres, e.g. 7.5 and 14.");
    }
}

void require_valid(const std::vector<ResponsePoint>& response) {
    if (response.size() < 2) {
        refuse("the response curve has fewer than two points", "Give wavelength (um) and response, one point a row.");
    }
    bool any = false;
    for (std::size_t i = 0; i < response.size(); ++i) {
        const ResponsePoint point = response[i];
        const double before = i == 0 ? 0.0 : response[i - 1].wavelength_um;
        if (!(point.wavelength_um > before) || !std::isfinite(point.wavelength_um)) {
            refuse("wavelength " + std::to_string(point.wavelength_um) + " um of the response curve does not ascend",
                   "Sort the points by wavelength, in micrometres.");
        }
        if (!(point.response >= 0.0) || !std::isfinite(point.response)) {
            refuse(
                "the response at " + std::to_string(point.wavelength_um) + " um is " + std::to_string(point.response),
                "Responses are zero or more.");
        }
        any = any || point.response > 0.0;
    }
    if (!any) {
        refuse("the response curve is zero everywhere", "Give at least one response above zero.");
    }
}

}  // namespace

double spectral_radiance(double wavelength_um, Kelvin temperature) {
    const double x = kSecondConstant / (wavelength_um * temperature.value());
    const double fifth = wavelength_um * wavelength_um * wavelength_um * wavelength_um * wavelength_um;
    return kFirstConstant / (fifth * std::expm1(x));
}

double blackbody_fraction(double wavelength_temperature_um_k) {
    if (std::isnan(wavelength_temperature_um_k)) {
        return kNaN;
    }
    if (wavelength_temperature_um_k <= 0.0) {
        return 0.0;
    }
    const double x = kSecondConstant / wavelength_temperature_um_k;
    constexpr double kFifteenOverPi4 =
        15.0 / (std::numbers::pi * std::numbers::pi * std::numbers::pi * std::numbers::pi);
    if (x < kSeriesChange) {
        // 1 - integral of t^3/(e^t - 1) from 0 to x, the integrand expanded with Bernoulli numbers
        const double x2 = x * x;
        const double bracket =
            1.0 / 3.0 - x / 8.0 +
            x2 * (1.0 / 60.0 +
                  x2 * (-1.0 / 5040.0 +
                        x2 * (1.0 / 272160.0 +
                              x2 * (-1.0 / 13305600.0 + x2 * (1.0 / 622702080.0 - x2 * 691.0 / 19615115520000.0)))));
        return 1.0 - kFifteenOverPi4 * x * x2 * bracket;
    }
    double sum = 0.0;
    for (int n = 1;; ++n) {
        const double m = n;
        const double term =
            std::exp(-m * x) / m * (x * x * x + 3.0 * x * x / m + 6.0 * x / (m * m) + 6.0 / (m * m * m));
        sum += term;
        if (term <= 1e-17 * sum) {
            return kFifteenOverPi4 * sum;
        }
    }
}

std::vector<ResponsePoint> response_of(Band band) {
    return {{band.low_um, 1.0}, {band.high_um, 1.0}};
}

template <class Function>
void BandRadiance::tabulate(Function exact) {
    nodes_.reserve(kIntervals + 1);
    for (int i = 0; i <= kIntervals; ++i) {
        const double kelvin = 1.0 / (kLowestInverse + i * kStep);
        const auto value = exact(kelvin);
        nodes_.push_back({std::log(value.radiance), -kelvin * kelvin * value.derivative / value.radiance});
    }
}

BandRadiance::BandRadiance(Band band) {
    require_valid(band);
    tabulate([band](double kelvin) { return exact_flat(band, kelvin); });
}

BandRadiance::BandRadiance(const std::vector<ResponsePoint>& response) {
    require_valid(response);
    tabulate([&response](double kelvin) { return exact_curve(response, kelvin); });
}

BandRadiance::Evaluation BandRadiance::evaluate(double inverse_kelvin) const {
    const double position = (inverse_kelvin - kLowestInverse) / kStep;
    const auto i = static_cast<std::size_t>(std::clamp(static_cast<int>(position), 0, kIntervals - 1));
    const double t = position - static_cast<double>(i);
    const Node a = nodes_[i];
    const Node b = nodes_[i + 1];
    // cubic Hermite: values and slopes at both ends
    const double rise = b.log_radiance - a.log_radiance;
    const double ma = a.slope * kStep;
    const double mb = b.slope * kStep;
    const double c2 = 3.0 * rise - 2.0 * ma - mb;
    const double c3 = ma + mb - 2.0 * rise;
    return {a.log_radiance + t * (ma + t * (c2 + t * c3)), (ma + t * (2.0 * c2 + 3.0 * t * c3)) / kStep};
}

double BandRadiance::radiance(Kelvin temperature) const {
    if (!(temperature >= kLowest && temperature <= kHighest)) {
        return kNaN;
    }
    return std::exp(evaluate(1.0 / temperature.value()).log_radiance);
}

double BandRadiance::derivative(Kelvin temperature) const {
    if (!(temperature >= kLowest && temperature <= kHighest)) {
        return kNaN;
    }
    const double inverse = 1.0 / temperature.value();
    const Evaluation at = evaluate(inverse);
    return -std::exp(at.log_radiance) * at.slope * inverse * inverse;
}

Kelvin BandRadiance::temperature(double radiance) const {
    if (!(radiance > 0.0)) {
        return Kelvin(kNaN);
    }
    const double wanted = std::log(radiance);
    // ln L falls with 1/T: the interval is found by bisection over the nodes, the place in it by Newton's method
    if (!(wanted <= nodes_.front().log_radiance && wanted >= nodes_.back().log_radiance)) {
        return Kelvin(kNaN);
    }
    const auto above = std::partition_point(
        nodes_.begin(), nodes_.end() - 1, [wanted](const Node& node) { return node.log_radiance > wanted; });
    const auto index = std::max<std::ptrdiff_t>(above - nodes_.begin() - 1, 0);
    const Node a = nodes_[static_cast<std::size_t>(index)];
    const Node b = nodes_[static_cast<std::size_t>(index) + 1];
    const double share = (wanted - a.log_radiance) / (b.log_radiance - a.log_radiance);
    double inverse = kLowestInverse + (static_cast<double>(index) + share) * kStep;
    for (int step = 0; step < 2; ++step) {
        const Evaluation at = evaluate(inverse);
        inverse -= (at.log_radiance - wanted) / at.slope;
    }
    return Kelvin(1.0 / inverse);
}

}  // namespace heatrow
