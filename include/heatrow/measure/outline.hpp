// The outline of a patch of pixels, and how much of it is straight.
#pragma once

#include "heatrow/measure/mask.hpp"

#include <Eigen/Core>

#include <array>
#include <vector>

namespace heatrow {

// A closed walk along pixel edges, clockwise as seen (y down), inside to the right; corners of pixels lie at half
// integers. Only the outer outline: holes are not walked. One vertex per unit step.
std::vector<Eigen::Vector2d> trace_outline(const Component& component, int picture_width);

// An outline split where it runs along the border of the picture: there the patch is cut, and its outline not seen.
struct CutOutline {
    std::vector<std::vector<Eigen::Vector2d>> seen;  // open lines; a closed one (first = last point) if nothing is cut
    std::array<double, 4> cut_px{};                  // length along the left, top, right, bottom border
    int cuts = 0;                                    // number of separate runs along the border
};
CutOutline split_at_border(const std::vector<Eigen::Vector2d>& outline, int picture_width, int picture_height);

// The line with as few corners as keep it within `tolerance_px` (Douglas-Peucker). A closed line is opened at the two
// points that are likeliest corners: the farthest from its middle, and the farthest from that.
std::vector<Eigen::Vector2d> simplify(const std::vector<Eigen::Vector2d>& line, double tolerance_px);

// Share of the seen outline, simplified, that lies on its longest sides: four, less one for each border that cuts it.
// Near one for a cell in perspective however its corners are rounded by blur, 4/n for a circle that the tolerance makes
// an n-gon. 0 where nothing of the outline is seen.
double straight_share(const CutOutline& outline, double tolerance_px);

}  // namespace heatrow
