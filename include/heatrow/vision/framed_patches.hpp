// Four-sided areas of a picture that thin lines frame: what modules look like where nothing is known of the site.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/units.hpp"

#include <Eigen/Core>

#include <array>
#include <vector>

namespace heatrow {

struct FramedPatchOptions {
    double nodata = kNaN;              // count that means no data; NaN = none
    double least_area_px = 60.0;       // inside the lines
    double largest_share = 0.30;       // of the picture
    double least_likeness = 0.86;      // common area of patch and quadrilateral over their union (own choice)
    double least_line_to_noise = 4.0;  // of a line's height over the scatter of pixels after smoothing
};

// What one strength of line, one width and one sign frame.
struct FramedPatches {
    bool dark_lines = true;      // than the areas
    double line_sigma_px = 1.0;  // of the smoothing in which the lines stand out
    double least_line = 0.0;     // counts: lines weaker than this are not taken for lines
    // Corners where the middles of the lines cross, px, in order round the patch to the right on the screen (x right, y
    // down), the first at the end of no particular side. Patches that the picture's border cuts are left out.
    std::vector<std::array<Eigen::Vector2d, 4>> corners_px;
};

// A line is where the smoothed picture bends most across it (largest eigenvalue of the Hessian times sigma squared;
// C. Steger, "An unbiased detector of curvilinear structures", IEEE PAMI 20 (1998)). Each smoothing, sign and strength
// gives one entry, in this order, strongest lines first: a picture of cells inside modules has an answer for either.
// Entries without a patch are left out; empty where the picture has no contrast. The same answer for any number of
// threads.
std::vector<FramedPatches> find_framed_patches(CountView picture, const FramedPatchOptions& options = {});

}  // namespace heatrow
