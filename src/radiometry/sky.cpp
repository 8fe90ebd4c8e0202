#include "heatrow/radiometry/sky.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

// Of a grey layer for light from a half space, weighted by the cosine: 2 E3(t) = e^-t (1 - t) + t^2 E1(t).
double mean_transmission(double thickness) {
    return thickness > 0.0 ? std::exp(-thickness) * (1.0 - thickness) - thickness * thickness * std::expint(-thickness)
                           : 1.0;
}

}  // namespace

Celsius swinbank_sky(Celsius air) {
    constexpr double kFactor = 0.0552;  // K^-0.5
    return to_celsius(Kelvin(kFactor * std::pow(to_kelvin(air).value(), 1.5)));
}

Celsius sky_temperature(Celsius air, double sine_of_elevation, const ClearSky& sky, const BandRadiance& band) {
    if (!(sine_of_elevation >= -1.0 && sine_of_elevation <= 1.0)) {
        return Celsius(kNaN);
    }
    if (sine_of_elevation < 0.0) {
        return air + sky.ground_above_air;
    }
    // 1 / 0 is an endless path, and any share below one to that power is zero
    const double emissivity =
        sky.zenith_emissivity < 1.0 ? 1.0 - std::pow(1.0 - sky.zenith_emissivity, 1.0 / sine_of_elevation) : 1.0;
    return to_celsius(band.temperature(emissivity * band.radiance(air)));
}

double zenith_emissivity_of_mean(Celsius mean, Celsius air, const BandRadiance& band) {
    const double through = 1.0 - band.radiance(mean) / band.radiance(air);
    if (std::isnan(through)) {
        return kNaN;
    }
    if (through <= 0.0) {
        return 1.0;
    }
    // 2 E3 falls from 1 to 0; halving the thickness' interval reaches its rounding in a fixed number of steps
    constexpr double kThickest = 50.0;
    constexpr int kHalvings = 60;
    double thin = 0.0;
    double thick = kThickest;
    for (int i = 0; i < kHalvings; ++i) {
        const double middle = 0.5 * (thin + thick);
        (mean_transmission(middle) > through ? thin : thick) = middle;
    }
    return -std::expm1(-thick);
}

double mirrored_sine_of_elevation(const Eigen::Vector3d& sight, const Eigen::Vector3d& normal) {
    return std::clamp(sight.z() - 2.0 * sight.dot(normal) * normal.z(), -1.0, 1.0);
}

}  // namespace heatrow
