// A quadrilateral around a set of points: the outline of a patch that is a cell seen in perspective.
#pragma once

#include <Eigen/Core>

#include <span>
#include <vector>

namespace heatrow {

// Corners of the convex hull, with y down clockwise as seen, no three on one line. Fewer than three for points on a
// line.
std::vector<Eigen::Vector2d> convex_hull(std::vector<Eigen::Vector2d> points);

// Area of a polygon, px^2; positive whatever the direction of its corners.
double polygon_area(std::span<const Eigen::Vector2d> corners);

// A small quadrilateral that encloses the points: sides of the hull are dropped one by one, each time the one whose
// neighbours, prolonged, add the least area. Not always the smallest one, but exact for a quadrilateral. Three corners
// for a triangle, fewer for points on a line.
std::vector<Eigen::Vector2d> enclosing_quadrilateral(const std::vector<Eigen::Vector2d>& points);

}  // namespace heatrow
