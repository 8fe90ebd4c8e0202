// Stage 3: the views of one cell become one value.
#pragma once

#include "heatrow/core/flags.hpp"
#include "heatrow/core/uncertain.hpp"
#include "heatrow/core/units.hpp"

#include <vector>

namespace heatrow {

struct FusedCell {
    Uncertain<Celsius> temperature;  // mean of the cell; `u` from noise and the scatter between views, without the
                                     // terms that all cells of a frame share (camera offset, emissivity, sky)
    Celsius hottest{kNaN};           // hottest 3 x 3 mean of the cell, a lower bound for a point
    float spread_k = 0.0F;           // standard deviation inside the cell, K
    int views = 0;                   // frames used
};

// One module with all its cells, row by row.
struct FusedModule {
    int module = 0;           // layout index
    std::vector<int> frames;  // frames used, ascending
    std::vector<FusedCell> cells;
    Flags flags;
    double level_u_k = 0.0;      // standard uncertainty of the level that all its cells share, from the scatter between
                                 // frames (drift), K; 0 with a single view, where it cannot be seen
    Radians view_angle{0.0};     // median over the frames used
    double cell_short_px = 0.0;  // median over the frames used, px
    double smear_px = 0.0;       // the same, of the image's motion in a detector time constant
    double smear_cells = 0.0;    // that motion over the side of a cell along it
};

}  // namespace heatrow
