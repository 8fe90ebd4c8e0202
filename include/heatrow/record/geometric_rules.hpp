// What the pixels of a module's views are fine enough for: three rules of the trade, each by itself. Half-cut cells can
// fail the first and pass the second.
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/site/module_type.hpp"

#include <optional>

namespace heatrow {

struct GeometricRules {
    Metres per_pixel{0.0};      // of the module, across the shorter side of a cell, a detector pixel
    Metres smallest_spot{0.0};  // three pixels: what is smaller reads too cold
    // At least 5 x 5 pixels on a cell (public commissioning procedure notes, secondary).
    bool five_pixels_a_cell = false;
    // At most 3 cm of module a pixel (from memory; 156 mm / 5 is 3.1 cm).
    bool three_cm_a_pixel = false;
    // The smallest spot fits into a cell (common practice, no source).
    bool spot_in_a_cell = false;
};

// `cell_short_px`: detector pixels across the shorter side of a cell. Nothing where it is not known.
std::optional<GeometricRules> geometric_rules(double cell_short_px, const ModuleType& type);

}  // namespace heatrow
