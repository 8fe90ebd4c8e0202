// Heat that spreads sideways along a line of cells.
#pragma once

#include "heatrow/segment/cell_sheet.hpp"

#include <Eigen/Core>

#include <vector>

namespace heatrow::detail {

struct Interval {
    double from;
    double to;
};

// Temperatures along a line of cells, each step of `bounds` being even.
struct HeatLine {
    std::vector<double> bounds;    // m, ascending, one more than there are steps
    Eigen::MatrixXd temperatures;  // steps x cells: what an even source of unit strength (1 K on its own) in one wafer
                                   // gives
};

// The one-dimensional fin equation, k T'' = U T - q, by finite volumes: k with the wafer inside a cell and without it
// across the gap to the next one, no flow out of the ends. `cells` lie one after the other without holes, m; half of a
// gap at each end of them has no source.
HeatLine spread_along(const std::vector<Interval>& cells, const CellSheet& sheet);

}  // namespace heatrow::detail
