// The projective map from one plane to another.
#pragma once

#include <Eigen/Core>

#include <optional>
#include <vector>

namespace heatrow {

// Direct linear transform on points moved and scaled to zero mean and unit spread (Hartley & Zisserman, Multiple View
// Geometry, algorithm 4.2): b = (b_from_a * a.homogeneous()).hnormalized(), least squares over four points or more of
// the algebraic distance. Nothing for fewer points or where they do not fix the map, as with three of four on a line.
std::optional<Eigen::Matrix3d> homography(const std::vector<Eigen::Vector2d>& in_a,
                                          const std::vector<Eigen::Vector2d>& in_b);

}  // namespace heatrow
