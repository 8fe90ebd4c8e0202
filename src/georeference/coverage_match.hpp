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
    double blur_blocks = 0.0;  // standard deviation
    int cropped = 0;           // blocks at every border that the blur would have had to guess
    Eigen::ArrayXXf means;     // columns of the picture along the first index
};
BlockPicture reduce(CountView counts, int block_px, double nodata);
// The same, blurred (0: as it is), less its mean. A blur of half a module and more hides the gaps between modules:
// whole-block shifts would meet them now well, now badly, all along an even row.
BlockPicture about_mean(const BlockPicture& picture, double blur_blocks);

// How far each pixel lies from the mean of the 5 x 5 about it, counts: large along rims and gaps, small on even glass
// and ground, whatever is the warmer. 0 at borders and where data is missing.
Image<float> line_strength(CountView counts, double nodata);

// Convolution with a Gaussian of `sd` cells along both axes; outside counts as nothing.
Eigen::ArrayXXf smoothed(const Eigen::ArrayXXf& values, double sd);

// Share of each block that modules cover, in a picture of columns x rows blocks with `border` blocks around it.
struct Coverage {
    int border = 0;
    Eigen::ArrayXXf shares;
};
Coverage cover(const LayoutIndex& site,
               const PosedCamera& camera,
               const std::vector<int>& modules,
               int block_px,
               Eigen::Vector2i blocks,
               int border);

// Over shifts from -reach to +reach blocks along x (first index) and y: share of the picture's variance that the
// shifted coverage explains (squared correlation), negative where modules are the cooler ones. A shift of s blocks
// means that what the pose puts at p is seen at p - s. The coverage's border holds reach and twice the blur.
Eigen::ArrayXXf explained_by_shift(const BlockPicture& picture, const Coverage& coverage, int reach);

// Natural log of the likelihood gain of "module area differs from the rest" over "no difference", for modules warmer
// (or cooler) than the rest. independent: how many independent samples the whole picture is worth.
Eigen::ArrayXXf likelihood_gain(const Eigen::ArrayXXf& explained, bool warmer, double independent);

}  // namespace heatrow::detail
