// Colour of a temperature difference: diverging, zero in the middle, the same limits in a whole report.
#pragma once

#include "heatrow/core/units.hpp"

#include <array>
#include <cstdint>
#include <string>
#include <vector>

namespace heatrow {

struct Colour {
    std::uint8_t red = 0;
    std::uint8_t green = 0;
    std::uint8_t blue = 0;
    friend constexpr bool operator==(Colour, Colour) = default;
};
// "#rrggbb".
std::string to_hex(Colour colour);

// Steps of colour from the lower to the upper limit; odd, so that one step is centred on zero.
inline constexpr int kScaleSteps = 41;

// Colours: the 11-class RdBu scheme of ColorBrewer 2.0 (Brewer, Harrower, Pennsylvania State University; a scheme of
// general cartography), turned round so that warm is red, interpolated linearly in sRGB and cut into kScaleSteps.
class DifferenceScale {
  public:
    DifferenceScale() = default;
    explicit DifferenceScale(KelvinDelta limit) : limit_(limit) {}

    [[nodiscard]] KelvinDelta limit() const { return limit_; }
    // Step of a difference, 0 ... kScaleSteps - 1; what lies beyond a limit takes the end's step. Not for NaN.
    [[nodiscard]] int step_of(KelvinDelta difference) const;
    [[nodiscard]] bool is_clipped(KelvinDelta difference) const;
    // Lower edge of a step; the upper edge is that of the next one.
    [[nodiscard]] KelvinDelta lower_edge(int step) const;

  private:
    KelvinDelta limit_{10.0};
};

// The colours of all steps, coldest first.
const std::array<Colour, kScaleSteps>& scale_colours();

// Round limit for a report: the smallest of 5, 10, 15, 20, 30, 40 K that holds three quarters of the given
// differences (those of the findings' cells, so that faults and not the healthy crowd set the scale).
KelvinDelta round_scale_limit(std::vector<double> differences_k);

}  // namespace heatrow
