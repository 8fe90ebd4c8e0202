#include "heatrow/record/geometric_rules.hpp"

#include <algorithm>

namespace heatrow {

std::optional<GeometricRules> geometric_rules(double cell_short_px, const ModuleType& type) {
    if (!(cell_short_px > 0.0)) {
        return std::nullopt;
    }
    const double cell_m =
        std::min(type.cell_area_width.value() / type.columns, type.cell_area_height.value() / type.rows);
    constexpr double kPixelsACell = 5.0;
    constexpr double kMetresAPixel = 0.03;
    constexpr double kPixelsASpot = 3.0;
    GeometricRules rules;
    rules.per_pixel = Metres(cell_m / cell_short_px);
    rules.smallest_spot = kPixelsASpot * rules.per_pixel;
    rules.five_pixels_a_cell = cell_short_px >= kPixelsACell;
    rules.three_cm_a_pixel = rules.per_pixel.value() <= kMetresAPixel;
    rules.spot_in_a_cell = cell_short_px >= kPixelsASpot;
    return rules;
}

}  // namespace heatrow
