#include "heatrow/radiometry/sky.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {

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

double mirrored_sine_of_elevation(const Eigen::Vector3d& sight, const Eigen::Vector3d& normal) {
    return std::clamp(sight.z() - 2.0 * sight.dot(normal) * normal.z(), -1.0, 1.0);
}

}  // namespace heatrow
