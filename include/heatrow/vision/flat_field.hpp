// What a thermal camera adds to every frame at the same pixels: fixed pattern and vignetting.
#pragma once

#include "heatrow/core/image.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace heatrow {

// The profile's [calibration] (docs/formats/profile.md).
struct FlatFieldLimits {
    int least_frames = 0;
    double least_moving_share = 0.0;  // of the frames' variance, that changes from frame to frame
    double least_ratio = 0.0;         // of a part's size over its standard uncertainty, to be subtracted at all
};

// Figures of one part of the field, counts.
struct FlatFieldPart {
    double sigma = 0.0;         // root mean square over the pixels
    double peak_to_peak = 0.0;  // between the 0.1st and the 99.9th percentile, so that single bad pixels do not decide
    double u = 0.0;             // standard uncertainty at a pixel, from the two halves of the frames
    bool in_map = false;        // certain enough to be subtracted
};

struct FlatField {
    // To be subtracted from the counts of a frame: the sum of the parts that are in_map. Mean and plane are 0: a
    // camera's offset and gradient cannot be told from the scene's. NaN where fewer than half of the frames hold a
    // count.
    Image<float> offset;
    FlatFieldPart vignetting;     // what a polynomial of degree 4 in x and y describes
    FlatFieldPart fixed_pattern;  // the rest: pixels, rows, columns
    double row_sigma = 0.0;       // root mean square of the row means of the fixed pattern
    double column_sigma = 0.0;
    double moving_share = 0.0;  // share of the variance, after each frame's plane, that changes from frame to frame
    std::size_t frames = 0;
};

// The map from frames of one size, in the order of their capture; NaN is no data.
//
// For each pixel and its right and lower neighbour: the median over the frames of their difference. Where the scene is
// even, that is most of the time, the difference is the camera's; edges that pass now and then do not move a median.
// The map is the field whose differences come closest to these medians in least squares (a Poisson equation with free
// borders, solved by cosine transform; J. S. Lim, "Two-Dimensional Signal and Image Processing", 1990, for the
// transform), less its plane. The uncertainty of a part is half the root mean square difference between that part of
// the first and of the second half of the frames.
//
// `scene_is_flat`: an even surface filled the picture, so that nothing need move.
//
// Throws Error(input): too few frames; frames of unlike size; a scene that does not move (moving_share below its limit,
// unless scene_is_flat: what stays would then be scene); neither part certain enough, with the number of frames that
// would do.
FlatField estimate_flat_field(const std::vector<Image<float>>& frames,
                              bool scene_is_flat,
                              const FlatFieldLimits& limits);

}  // namespace heatrow
