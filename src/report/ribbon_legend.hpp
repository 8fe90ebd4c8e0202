// What the colours and marks of a drawing mean.
#pragma once

#include "heatrow/report/report_model.hpp"
#include "svg.hpp"

namespace heatrow {

inline constexpr double kLegendHeight = 62.0;

// Colour bar with units, marks of classes and signs, from (0, 0) to the right.
void draw_legend(Svg& svg, const DifferenceScale& scale);

// The pattern `hatch` for what was not assessed, to go into a defs element.
std::string hatch_definition();

}  // namespace heatrow
