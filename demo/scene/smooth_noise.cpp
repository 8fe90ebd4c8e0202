#include "smooth_noise.hpp"

#include "random.hpp"

#include <cmath>

namespace scene {
namespace {

// In -1 .. 1, the same for the same node.
double node_value(std::uint64_t seed, std::int64_t ix, std::int64_t iy) {
    const std::uint64_t bits = Random::mix(Random::mix(seed ^ static_cast<std::uint64_t>(ix)) +
                                           static_cast<std::uint64_t>(iy) * 0x9E3779B97F4A7C15ULL);
    return static_cast<double>(bits >> 11U) * 0x1.0p-52 - 1.0;
}

std::int64_t wrap(std::int64_t i, int period) {
    if (period == 0) {
        return i;
    }
    const std::int64_t rest = i % period;
    return rest < 0 ? rest + period : rest;
}

}  // namespace

double smooth_noise(std::uint64_t seed, double x, double y, int period) {
    const double fx = std::floor(x);
    const double fy = std::floor(y);
    const auto x0 = wrap(static_cast<std::int64_t>(fx), period);
    const auto y0 = wrap(static_cast<std::int64_t>(fy), period);
    const auto x1 = wrap(static_cast<std::int64_t>(fx) + 1, period);
    const auto y1 = wrap(static_cast<std::int64_t>(fy) + 1, period);
    const auto ease = [](double t) { return t * t * (3.0 - 2.0 * t); };
    const double sx = ease(x - fx);
    const double sy = ease(y - fy);
    const double a = node_value(seed, x0, y0);
    const double b = node_value(seed, x1, y0);
    const double c = node_value(seed, x0, y1);
    const double d = node_value(seed, x1, y1);
    const double lower = a + sx * (b - a);
    const double upper = c + sx * (d - c);
    return lower + sy * (upper - lower);
}

}  // namespace scene
