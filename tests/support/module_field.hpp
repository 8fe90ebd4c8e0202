// A field of module tables and thermal pictures of it, painted with known truth.
#pragma once

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/site/layout.hpp"

#include <cstdint>
#include <functional>
#include <vector>

namespace heatrow::test {

// Tables in rows; modules upright, `top` up the slope. Rows run east, tables face south; the first table's lower left
// module corner is at east 0, north 0.
struct FieldOptions {
    int rows = 2;
    int tables_in_row = 1;
    int modules_along = 10;  // in a table
    int modules_up = 1;
    double gap_m = 0.02;
    double table_gap_m = 0.5;
    double row_pitch_m = 5.0;
    double tilt_deg = 25.0;
    double lower_edge_m = 0.7;  // height
    bool half_cut = false;
};
Layout make_field(const FieldOptions& options);

struct PaintOptions {
    double glass = 5000.0;  // counts
    double rim = 3000.0;
    double ground = 4000.0;
    double blur_sigma_px = 0.5;  // of optics and pixel together
    double noise = 0.0;          // standard deviation, counts
    std::uint64_t seed = 1;
    // Counts added to the glass of a cell (module, cell number); none if empty.
    std::function<double(int, int)> cell_excess;
    // Counts added to the ground at a place (east, north); none if empty.
    std::function<double(double, double)> ground_excess;
};

// Rays through 5 x 5 points of every pixel meet the nearest module plane or the ground (up = 0); the samples are
// weighted by the blur. Glass between a cell and the rim has the cell's level.
Image<float> paint(const Layout& layout, const PosedCamera& camera, const PaintOptions& options);

// A camera of 320 x 256 px with 3 cm pixels at 17 m.
Lens small_lens();
// Looking down from `height_m` above a place, image top to the north.
FramePose looking_down(double east, double north, double height_m);

}  // namespace heatrow::test
