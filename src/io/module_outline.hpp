// From an outline seen from above to the four corners of a module in space (docs/formats/layout.md).
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/site/module_type.hpp"
#include "heatrow/site/planned_module.hpp"

#include <Eigen/Core>
#include <tl/expected.hpp>

#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow::detail {

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

// Why a module of this type cannot have these corners: sides more than 10 % off; empty where it can.
inline constexpr std::string_view kSizeRemedy =
    "Correct the outline, its tilt and azimuth, 'top' (left or right for a module on its side), or the type";
std::string size_mismatch(const std::array<Eigen::Vector3d, 4>& corners, const ModuleType& type);

}  // namespace heatrow::detail
