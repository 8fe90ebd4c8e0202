// Stage 3: all views of one module become one value per cell.
//
// First form: each view's common level is taken out, the median over the views gives every cell's difference, and the
// median of the levels is added again. Drift between frames so cancels in the differences inside a module; it stays in
// the level, whose own uncertainty says how much.
#pragma once

#include "heatrow/core/flags.hpp"
#include "heatrow/core/fused_cell.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/site/layout.hpp"

#include <span>
#include <vector>

namespace heatrow {

// One view of a module after conversion to temperature. Cells row by row as in the module type; NaN = no data.
struct ModuleView {
    int frame = 0;
    Flags flags;
    Radians view_angle{0.0};
    double cell_short_px = 0.0;
    double smear_px = 0.0;         // motion of the image in a detector time constant, px; 0 where not known
    std::vector<float> mean_c;     // of the cell, degC
    std::vector<float> hottest_c;  // hottest 3 x 3 mean, degC
    std::vector<float> spread_k;   // standard deviation inside the cell, K
    std::vector<float> pixels;     // sum of the area weights, px
};

struct FuseOptions {
    double noise_k = 0.0;         // standard deviation of one pixel, K: noise-equivalent temperature difference
    double view_scatter_k = 0.0;  // of one cell between views, assumed where there is one view only (profile)
};

// views: of this module, any order, one per frame. Views flagged too_few_pixels, angle_too_shallow, smeared or clipped
// are left out where views without such a flag exist; where none does, views that are smeared or clipped are left out
// where others exist; and where all are, those smeared much more than the least smeared one. No view, or none with data: `frames` is empty and every cell NaN.
// Uncertainty of a cell: the larger of the noise and the scatter between views, both over the root of the views, with
// the efficiency of the median. Flags of the result: those of every view used, and single_view. Precondition: vectors
// of a view hold one value per cell of the module's type.
FusedModule fuse_module(const Layout& layout,
                        int module,
                        std::span<const ModuleView> views,
                        const FuseOptions& options);

// Standard deviation of a normal distribution from the median absolute deviation of n values about their median, with
// the small-sample factors of Croux and Rousseeuw (1992), from memory, confirmed by a simulation in the tests.
// NaN below two values.
double scatter_from_mad(double mad, int n);

}  // namespace heatrow
