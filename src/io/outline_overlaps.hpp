// Outlines that cover each other, seen from above.
#pragma once

#include <Eigen/Core>

#include <vector>

namespace heatrow::detail {

struct PlanOutline {
    std::vector<Eigen::Vector2d> ring;  // convex, not closed, m
    double height_m = 0.0;
};

struct Overlap {
    std::size_t first;
    std::size_t second;  // > first
    double area_m2;
    double share;  // of the smaller outline
};

// Pairs that share more than a hundredth of the smaller outline, by GEOS; outlines more than a metre apart in height
// are above one another and left out. Ascending.
std::vector<Overlap> find_overlaps(const std::vector<PlanOutline>& outlines);

}  // namespace heatrow::detail
