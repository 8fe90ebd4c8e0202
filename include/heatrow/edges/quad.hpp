// A four-sided area in the picture and how much of a pixel it covers.
#pragma once

#include <Eigen/Core>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace heatrow {

// Convex; px. Sides 0 and 2 are opposite, 1 and 3 too.
class Quad {
  public:
    // Corners in order round the area, either way.
    explicit Quad(const std::array<Eigen::Vector2d, 4>& corners) {
        const Eigen::Vector2d centre = 0.25 * (corners[0] + corners[1] + corners[2] + corners[3]);
        for (std::size_t i = 0; i < 4; ++i) {
            const Eigen::Vector2d along = corners[(i + 1) % 4] - corners[i];
            Eigen::Vector2d inward(-along.y(), along.x());
            const double length = inward.norm();
            inward = length > 0.0 ? Eigen::Vector2d(inward / length) : Eigen::Vector2d(0.0, 0.0);
            if (inward.dot(centre - corners[i]) < 0.0) {
                inward = -inward;
            }
            const double reach = std::abs(inward.x()) + std::abs(inward.y());
            const Eigen::Vector2d by_reach = reach > 0.0 ? Eigen::Vector2d(inward / reach) : inward;
            sides_[i] = {by_reach.x(), by_reach.y(), -by_reach.dot(corners[i])};
            low_ = i == 0 ? corners[i] : Eigen::Vector2d(low_.cwiseMin(corners[i]));
            high_ = i == 0 ? corners[i] : Eigen::Vector2d(high_.cwiseMax(corners[i]));
        }
    }

    [[nodiscard]] const Eigen::Vector2d& low() const { return low_; }
    [[nodiscard]] const Eigen::Vector2d& high() const { return high_; }

    // Share of the unit pixel at (x, y) that the area covers: exact where the sides run along the pixel grid; else each
    // side's share is a ramp over the pixel's width along the normal, which keeps the area and is at most 0.06 off
    // for one side (at 45 deg), more only at corners.
    [[nodiscard]] double coverage(double x, double y) const {
        const double across = share(sides_[0], x, y) + share(sides_[2], x, y) - 1.0;
        const double along = share(sides_[1], x, y) + share(sides_[3], x, y) - 1.0;
        return across > 0.0 && along > 0.0 ? across * along : 0.0;
    }

    // Whether the square of half side `half` about (x, y) lies wholly inside.
    [[nodiscard]] bool holds_square(double x, double y, double half) const {
        return std::all_of(sides_.begin(), sides_.end(), [&](const Side& side) { return side.inside(x, y) >= half; });
    }

  private:
    struct Side {
        // Distance inwards, in widths of the unit pixel along the side's normal.
        [[nodiscard]] double inside(double x, double y) const { return nx * x + ny * y + c; }
        double nx = 0.0;
        double ny = 0.0;
        double c = 0.0;
    };
    static double share(const Side& side, double x, double y) { return std::clamp(0.5 + side.inside(x, y), 0.0, 1.0); }

    std::array<Side, 4> sides_;
    Eigen::Vector2d low_{0.0, 0.0};
    Eigen::Vector2d high_{0.0, 0.0};
};

}  // namespace heatrow
