// From an outline seen from above to the four corners of a module in space (docs/formats/layout.md).
#pragma once

#include "heatrow/core/units.hpp"

#include <Eigen/Core>
#include <tl/expected.hpp>

#include <array>
#include <string>
#include <vector>

namespace heatrow::detail {

// Where the type's `top` edge points, seen from the front.
enum class TopEdge { up, down, left, right };

struct OutlineFromAbove {
    std::vector<Eigen::Vector2d> ring;  // east, north in m, any order of turning, not closed
    Radians tilt{0.0};
    Radians azimuth{0.0};
    Metres height{0.0};  // of the centre
    TopEdge top = TopEdge::up;
};

// Top left, top right, bottom right, bottom left as seen from the front with `top` up; site frame, m.
// The reason where the outline is no module: not four corners, not convex, or at about 45 deg to the azimuth, so that
// it cannot be told which edge is the top.
tl::expected<std::array<Eigen::Vector3d, 4>, std::string> corners_in_space(const OutlineFromAbove& outline);

}  // namespace heatrow::detail
