// From a drawing's own coordinates to the site, by points that are known in both.
#pragma once

#include <Eigen/Core>
#include <tl/expected.hpp>

#include <string>
#include <vector>

namespace heatrow {

struct PointPair {
    Eigen::Vector2d in_drawing{0.0, 0.0};
    Eigen::Vector2d in_site{0.0, 0.0};  // m
};

// Turn, scale and shift: in_site = scale * R(turn) * in_drawing + shift.
struct DrawingFit {
    double scale = 1.0;     // m per unit of the drawing
    double turn_rad = 0.0;  // counter-clockwise
    Eigen::Vector2d shift{0.0, 0.0};
    std::vector<double> residuals_m;  // of each pair

    [[nodiscard]] Eigen::Vector2d to_site(const Eigen::Vector2d& in_drawing) const;
};

// Least squares over two or more pairs (Umeyama, IEEE Trans. Pattern Anal. Mach. Intell. 13(4), 1991, in the plane,
// where it has a closed form in complex numbers). The reason where the points coincide, or where three or more pairs
// fit a mirrored drawing far better.
tl::expected<DrawingFit, std::string> fit_drawing(const std::vector<PointPair>& pairs);

}  // namespace heatrow
