#include "air_path.hpp"

#include <algorithm>
#include <cmath>

namespace scene {

AirPath::AirPath(double relative_humidity, double air_c) {
    if (relative_humidity <= 0.0) {
        table_.fill(1.0);
        return;
    }
    const double t = std::clamp(air_c, -40.0, 60.0);
    // Root of the water in the air, g/m3 or nearly so.
    const double water =
        std::sqrt(relative_humidity * std::exp(1.5587 + t * (6.939e-2 + t * (-2.7816e-4 + t * 6.8455e-7))));
    for (int i = 0; i < kCount; ++i) {
        const double root = std::sqrt(i * kStep);
        const double value =
            1.9 * std::exp(-root * (0.006569 - 0.002276 * water)) - 0.9 * std::exp(-root * (0.01262 - 0.00667 * water));
        table_[static_cast<std::size_t>(i)] = std::clamp(value, 0.0, 1.0);
    }
}

}  // namespace scene
