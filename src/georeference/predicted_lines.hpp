// Where a pose puts the sides of modules in the picture.
#pragma once

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/edges/band_probe.hpp"
#include "heatrow/site/layout_index.hpp"

#include <Eigen/Core>

#include <vector>

namespace heatrow::detail {

struct PredictedLine {
    BandLine line;
    Eigen::Vector3d middle_in_site;
    bool free_side = false;
};

// Modules that face the camera and may be in the picture, in layout order.
std::vector<int> modules_in_view(const LayoutIndex& site, const PosedCamera& camera, Metres margin);

// Strips of their sides with the middle inside the picture and at least `border_px` from its border. Long sides give
// several. At most `most`, evenly thinned.
std::vector<PredictedLine> predict_lines(const LayoutIndex& site,
                                         const PosedCamera& camera,
                                         const std::vector<int>& modules,
                                         double border_px,
                                         int most,
                                         const Eigen::Vector3d& camera_motion);

// Strips of one side, as predict_lines gives them; appended.
void add_lines(const PosedCamera& camera,
               const BandEdge& edge,
               double border_px,
               const Eigen::Vector3d& camera_motion,
               std::vector<PredictedLine>& lines);

// Median size of a pixel on the modules, m.
double pixel_size_m(const LayoutIndex& site, const PosedCamera& camera, const std::vector<int>& modules);

}  // namespace heatrow::detail
