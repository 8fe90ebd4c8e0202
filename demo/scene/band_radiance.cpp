#include "band_radiance.hpp"

#include <algorithm>
#include <cmath>

namespace scene {
namespace {

constexpr double kShortest = 7.5e-6;  // m
constexpr double kLongest = 14.0e-6;

// Planck's law per metre of wavelength; constants exact since the 2019 revision of the SI.
double spectral_radiance(double wavelength_m, double temperature_k) {
    constexpr double kPlanck = 6.62607015e-34;
    constexpr double kLight = 299792458.0;
    constexpr double kBoltzmann = 1.380649e-23;
    const double lambda5 = std::pow(wavelength_m, 5.0);
    return 2.0 * kPlanck * kLight * kLight / lambda5 /
           std::expm1(kPlanck * kLight / (wavelength_m * kBoltzmann * temperature_k));
}

}  // namespace

double integrate_band_radiance(double temperature_k) {
    constexpr int kIntervals = 400;
    const double step = (kLongest - kShortest) / kIntervals;
    double sum = spectral_radiance(kShortest, temperature_k) + spectral_radiance(kLongest, temperature_k);
    for (int i = 1; i < kIntervals; ++i) {
        sum += (i % 2 == 1 ? 4.0 : 2.0) * spectral_radiance(kShortest + i * step, temperature_k);
    }
    return sum * step / 3.0;
}

BandRadiance::BandRadiance() {
    const int count = static_cast<int>(std::lround((kHighest - kLowest) / kStep)) + 1;
    // The integral is smooth: nodes each kelvin by Simpson would need a spline, so every node is integrated.
    radiance_.reserve(static_cast<std::size_t>(count));
    for (int i = 0; i < count; ++i) {
        radiance_.push_back(integrate_band_radiance(kLowest + i * kStep));
    }
    constexpr int kInverse = 40000;
    radiance_step_ = (radiance_.back() - radiance_.front()) / kInverse;
    temperature_.reserve(kInverse + 1);
    std::size_t at = 0;
    for (int i = 0; i <= kInverse; ++i) {
        const double wanted = radiance_.front() + i * radiance_step_;
        while (at + 2 < radiance_.size() && radiance_[at + 1] < wanted) {
            ++at;
        }
        const double share = (wanted - radiance_[at]) / (radiance_[at + 1] - radiance_[at]);
        temperature_.push_back(kLowest + (static_cast<double>(at) + share) * kStep);
    }
}

}  // namespace scene
