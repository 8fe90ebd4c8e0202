// Area inside four corners.
#pragma once

#include <Eigen/Core>

#include <array>
#include <cmath>
#include <cstddef>

namespace heatrow {

// Corners in order round the area, either way; in the square of their unit. Shoelace formula.
inline double quad_area(const std::array<Eigen::Vector2d, 4>& corners) {
    double twice = 0.0;
    for (std::size_t i = 0; i < corners.size(); ++i) {
        const Eigen::Vector2d& a = corners[i];
        const Eigen::Vector2d& b = corners[(i + 1) % corners.size()];
        twice += a.x() * b.y() - a.y() * b.x();
    }
    return 0.5 * std::abs(twice);
}

}  // namespace heatrow
