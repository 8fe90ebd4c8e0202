// How well the layout's coverage explains a frame at every whole-picture shift.
#pragma once

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/site/layout_index.hpp"

#include <Eigen/Core>

#include <vector>

namespace heatrow::detail {

// A picture reduced to means over square blocks; what is not data has the mean of the rest.
struct BlockPicture {
    int block_px = 1;
    Eigen::ArrayXXf means;  // columns of the picture along the first index
};
BlockPicture reduce(CountView counts, int block_px, double nodata);

// Scores over shifts from -reach to +reach blocks along x (first index) and y.
struct ShiftScores {
    int reach = 0;
    // Natural log of the likelihood gain of "module area differs from the rest" over "no difference", one for modules
    // being warmer, one for cooler.
    Eigen::ArrayXXf warmer;
    Eigen::ArrayXXf cooler;
};

// A shift of s blocks means that what the pose puts at p is seen at p - s. independent: how many independent samples
// the whole picture is worth.
ShiftScores match_coverage(const BlockPicture& picture,
                           const LayoutIndex& site,
                           const PosedCamera& camera,
                           const std::vector<int>& modules,
                           int reach,
                           double independent);

}  // namespace heatrow::detail
