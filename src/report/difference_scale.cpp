#include "heatrow/report/difference_scale.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace heatrow {
namespace {

// RdBu, 11 classes, cold end first.
constexpr std::array<Colour, 11> kAnchors = {{
    {0x05, 0x30, 0x61},
    {0x21, 0x66, 0xac},
    {0x43, 0x93, 0xc3},
    {0x92, 0xc5, 0xde},
    {0xd1, 0xe5, 0xf0},
    {0xf7, 0xf7, 0xf7},
    {0xfd, 0xdb, 0xc7},
    {0xf4, 0xa5, 0x82},
    {0xd6, 0x60, 0x4d},
    {0xb2, 0x18, 0x2b},
    {0x67, 0x00, 0x1f},
}};

std::uint8_t mix(std::uint8_t a, std::uint8_t b, double share) {
    return static_cast<std::uint8_t>(std::lround(a + (b - a) * share));
}

std::array<Colour, kScaleSteps> make_colours() {
    std::array<Colour, kScaleSteps> colours;
    for (std::size_t i = 0; i < colours.size(); ++i) {
        const double place = static_cast<double>(i) / (kScaleSteps - 1) * (kAnchors.size() - 1);
        const std::size_t low = std::min(static_cast<std::size_t>(place), kAnchors.size() - 2);
        const double share = place - static_cast<double>(low);
        const Colour& a = kAnchors[low];
        const Colour& b = kAnchors[low + 1];
        colours[i] = {mix(a.red, b.red, share), mix(a.green, b.green, share), mix(a.blue, b.blue, share)};
    }
    return colours;
}

}  // namespace

std::string to_hex(Colour colour) {
    constexpr std::array<char, 17> kHex = {"0123456789abcdef"};
    std::string text = "#";
    for (const std::uint8_t part : {colour.red, colour.green, colour.blue}) {
        text += kHex[part >> 4U];
        text += kHex[part & 15U];
    }
    return text;
}

const std::array<Colour, kScaleSteps>& scale_colours() {
    static const std::array<Colour, kScaleSteps> colours = make_colours();
    return colours;
}

int DifferenceScale::step_of(KelvinDelta difference) const {
    assert(difference.is_known());
    const double place = (difference / limit_ + 1.0) / 2.0 * kScaleSteps;
    return static_cast<int>(std::clamp(std::floor(place), 0.0, kScaleSteps - 1.0));
}

bool DifferenceScale::is_clipped(KelvinDelta difference) const {
    return std::abs(difference.value()) > limit_.value();
}

KelvinDelta DifferenceScale::lower_edge(int step) const {
    return limit_ * (2.0 * step / kScaleSteps - 1.0);
}

KelvinDelta round_scale_limit(std::vector<double> differences_k) {
    constexpr std::array<double, 6> kRound = {5.0, 10.0, 15.0, 20.0, 30.0, 40.0};
    std::erase_if(differences_k, [](double d) { return !std::isfinite(d); });
    if (differences_k.empty()) {
        return KelvinDelta(10.0);
    }
    for (double& d : differences_k) {
        d = std::abs(d);
    }
    std::sort(differences_k.begin(), differences_k.end());
    const std::size_t rank = (differences_k.size() * 3 + 3) / 4 - 1;  // three quarters, rounded up
    const auto* const fits =
        std::find_if(kRound.begin(), kRound.end(), [&](double limit) { return limit >= differences_k[rank]; });
    return KelvinDelta(fits == kRound.end() ? kRound.back() : *fits);
}

}  // namespace heatrow
