#include "heatrow/report/temperature_scale.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace heatrow {
namespace {

constexpr std::size_t kNodes = 18;  // every 15th of 256 colours
using Nodes = std::array<Colour, kNodes>;

constexpr Nodes kInferno{{{0, 0, 4},
                          {10, 7, 34},
                          {30, 12, 69},
                          {56, 9, 98},
                          {81, 14, 108},
                          {105, 22, 110},
                          {128, 31, 108},
                          {152, 39, 102},
                          {176, 49, 91},
                          {198, 61, 77},
                          {217, 77, 61},
                          {233, 97, 43},
                          {244, 121, 24},
                          {250, 148, 7},
                          {252, 176, 20},
                          {248, 205, 55},
                          {242, 234, 105},
                          {252, 255, 164}}};
constexpr Nodes kCividis{{{0, 34, 78},
                          {0, 45, 104},
                          {22, 55, 112},
                          {46, 65, 109},
                          {63, 76, 108},
                          {78, 86, 108},
                          {92, 97, 110},
                          {105, 107, 113},
                          {118, 118, 118},
                          {131, 129, 121},
                          {146, 140, 120},
                          {160, 152, 117},
                          {175, 164, 113},
                          {191, 176, 107},
                          {207, 189, 98},
                          {223, 202, 87},
                          {240, 216, 70},
                          {254, 232, 56}}};

// Distance of round values: 1, 2 or 5 times a power of ten.
double tick_step(double span) {
    constexpr double kMostTicks = 8.0;
    const double least = span / kMostTicks;
    const double power = std::pow(10.0, std::floor(std::log10(least)));
    for (const double factor : {1.0, 2.0, 5.0}) {
        if (factor * power >= least) {
            return factor * power;
        }
    }
    return 10.0 * power;
}

}  // namespace

Colour palette_colour(Palette palette, double share) {
    const Nodes& nodes = palette == Palette::inferno ? kInferno : kCividis;
    const double at = std::clamp(share, 0.0, 1.0) * static_cast<double>(kNodes - 1);
    const std::size_t below = std::min(static_cast<std::size_t>(at), kNodes - 2);
    const double rest = at - static_cast<double>(below);
    const auto mix = [rest](std::uint8_t a, std::uint8_t b) {
        const double mixed = (1.0 - rest) * a + rest * b;
        const int whole = static_cast<int>(mixed);
        return static_cast<std::uint8_t>(mixed - whole >= 0.5 ? whole + 1 : whole);  // rounded, several a pixel
    };
    const Colour a = nodes[below];
    const Colour b = nodes[below + 1];
    return {mix(a.red, b.red), mix(a.green, b.green), mix(a.blue, b.blue)};
}

ShownRange range_of(ImageView<const float> temperature_c) {
    ShownRange range;
    for (int y = 0; y < temperature_c.height(); ++y) {
        for (int x = 0; x < temperature_c.width(); ++x) {
            const Celsius value(static_cast<double>(temperature_c(x, y)));
            if (!value.is_known()) {
                continue;
            }
            if (!(range.low <= value)) {
                range.low = value;
            }
            if (!(range.high >= value)) {
                range.high = value;
            }
        }
    }
    return range;
}

ShownRange united(ShownRange a, ShownRange b) {
    return {a.low <= b.low || !b.low.is_known() ? a.low : b.low,
            a.high >= b.high || !b.high.is_known() ? a.high : b.high};
}

ShownRange rounded_out(ShownRange range) {
    if (!range.low.is_known()) {
        return {Celsius(0.0), Celsius(1.0)};
    }
    constexpr double kLeastSpan = 1.0;  // K
    const double missing = kLeastSpan - (range.high - range.low).value();
    if (missing > 0.0) {
        range = {range.low - KelvinDelta(0.5 * missing), range.high + KelvinDelta(0.5 * missing)};
    }
    const double step = tick_step((range.high - range.low).value()) / 5.0;
    return {Celsius(std::floor(range.low.value() / step) * step), Celsius(std::ceil(range.high.value() / step) * step)};
}

std::vector<double> scale_ticks(double low, double high) {
    const double step = tick_step(high - low);
    const double slack = 1e-6 * step;
    std::vector<double> ticks;
    for (double n = std::ceil((low - slack) / step); n * step <= high + slack; n += 1.0) {
        ticks.push_back(n * step);
    }
    return ticks;
}

}  // namespace heatrow
