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
            sides_[i] = {inward.x(), inward.y(), -inward.dot(corners[i]), std::abs(inward.x()) + std::abs(inward.y())};
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
        return std::all_of(sides_.begin(), sides_.end(), [&](const Side& side) {
            return side.nx * x + side.ny * y + side.c >= half * side.reach;
        });
    }

  private:
    struct Side {
        double nx = 0.0;  // unit normal, inwards
        double ny = 0.0;
        double c = 0.0;      // nx x + ny y + c: signed distance, inside positive
        double reach = 1.0;  // width of the unit pixel along the normal
    };
    static double share(const Side& side, double x, double y) {
        return std::clamp(0.5 + (side.nx * x + side.ny * y + side.c) / side.reach, 0.0, 1.0);
    }

    std::array<Side, 4> sides_;
    Eigen::Vector2d low_{0.0, 0.0};
    Eigen::Vector2d high_{0.0, 0.0};
};

}  // namespace heatrow
