// How well any estimator could tell the difference of one cell, so that a missed target can be judged.
#pragma once

namespace scene {

struct CellViewing {
    double width_px = 5.0;   // of a cell, along the smear
    double height_px = 5.0;  // across it
    double blur_sigma_px = 0.5;
    double smear_px = 0.0;  // within one time constant of the detector
    double noise_k = 0.05;  // of a pixel in one view, fixed pattern included
    int views = 1;
    // Half widths of what no frame tells: gain of the camera (share) and emissivity.
    double gain_share = 0.0;
    double emissivity = 0.0;
};

// Standard error, K, of the best linear unbiased estimate of a cell's temperature against its neighbours' (all 5 x 5
// unknown; Gauss and Markov), the point spread and the outline known exactly; plus what gain and emissivity, unknown
// within uniform half widths, add to a difference of `delta_k`. Real estimators cannot do better: they know less.
double best_cell_error_k(const CellViewing& viewing, double delta_k);

}  // namespace scene
