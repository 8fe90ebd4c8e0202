// Colour of a temperature: the same limits for every picture that is to be compared.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/report/difference_scale.hpp"

#include <vector>

namespace heatrow {

// Both rise evenly in lightness, so that they also read in grey print. Inferno: Smith & van der Walt 2015 (CC0).
// Cividis: Nunez, Anderton & Renslow 2018, PLoS ONE 13(7) (CC0), for red-green colour blindness. Kept as 18 of their
// 256 colours, linear in between: at most 10 of 255 off in one channel.
enum class Palette { inferno, cividis };
Colour palette_colour(Palette palette, double share);  // 0 coldest, 1 hottest; beyond: the end

class TemperatureScale {
  public:
    // `low` below `high`.
    TemperatureScale(Celsius low, Celsius high, Palette palette) : low_(low), high_(high), palette_(palette) {}

    [[nodiscard]] Celsius low() const { return low_; }
    [[nodiscard]] Celsius high() const { return high_; }
    [[nodiscard]] Palette palette() const { return palette_; }
    [[nodiscard]] double share_of(Celsius value) const { return (value - low_) / (high_ - low_); }
    [[nodiscard]] Colour colour(Celsius value) const { return palette_colour(palette_, share_of(value)); }

  private:
    Celsius low_;
    Celsius high_;
    Palette palette_;
};

struct ShownRange {
    Celsius low{kNaN};
    Celsius high{kNaN};
};
// Coldest and hottest known pixel; NaN where there is none.
ShownRange range_of(ImageView<const float> temperature_c);
// The range that holds both; an unknown one adds nothing.
ShownRange united(ShownRange a, ShownRange b);
// The range widened to whole fifths of a tick, at least 1 K wide; for limits that people read. 0 to 1
// degC for an unknown one.
ShownRange rounded_out(ShownRange range);

// Round values from low to high, 4 to 9 of them.
std::vector<double> scale_ticks(double low, double high);

}  // namespace heatrow
