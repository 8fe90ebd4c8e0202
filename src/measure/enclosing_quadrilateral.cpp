#include "heatrow/measure/enclosing_quadrilateral.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>

namespace heatrow {
namespace {

double cross(const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
    return a.x() * b.y() - a.y() * b.x();
}

// Where the line a-b, prolonged beyond b, meets the line d-c, prolonged beyond c; nothing where they part.
std::optional<Eigen::Vector2d> prolonged_meeting(const Eigen::Vector2d& a,
                                                 const Eigen::Vector2d& b,
                                                 const Eigen::Vector2d& c,
                                                 const Eigen::Vector2d& d) {
    const Eigen::Vector2d forward = b - a;
    const Eigen::Vector2d backward = c - d;
    const double denominator = cross(forward, backward);
    if (!(denominator < 0.0) && !(denominator > 0.0)) {
        return std::nullopt;
    }
    const double along = cross(c - b, backward) / denominator;
    const double along_other = cross(c - b, forward) / denominator;
    if (along < 0.0 || along_other < 0.0) {
        return std::nullopt;
    }
    return b + along * forward;
}

}  // namespace

std::vector<Eigen::Vector2d> convex_hull(std::vector<Eigen::Vector2d> points) {
    const auto before = [](const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
        return a.x() < b.x() || (a.x() == b.x() && a.y() < b.y());
    };
    std::sort(points.begin(), points.end(), before);
    points.erase(std::unique(points.begin(), points.end()), points.end());
    if (points.size() < 3) {
        return points;
    }
    // Andrew's monotone chains
    std::vector<Eigen::Vector2d> hull;
    const auto extend = [&hull](const Eigen::Vector2d& point, std::size_t base) {
        while (hull.size() >= base + 2 && cross(hull.back() - hull[hull.size() - 2], point - hull.back()) <= 0.0) {
            hull.pop_back();
        }
        hull.push_back(point);
    };
    for (const auto& point : points) {
        extend(point, 0);
    }
    const std::size_t base = hull.size() - 1;
    for (auto point = points.rbegin() + 1; point != points.rend(); ++point) {
        extend(*point, base);
    }
    hull.pop_back();
    return hull;
}

double polygon_area(std::span<const Eigen::Vector2d> corners) {
    double twice = 0.0;
    for (std::size_t i = 0; i < corners.size(); ++i) {
        twice += cross(corners[i], corners[(i + 1) % corners.size()]);
    }
    return 0.5 * std::abs(twice);
}

std::vector<Eigen::Vector2d> enclosing_quadrilateral(const std::vector<Eigen::Vector2d>& points) {
    std::vector<Eigen::Vector2d> corners = convex_hull(points);
    while (corners.size() > 4) {
        const std::size_t n = corners.size();
        double least = std::numeric_limits<double>::infinity();
        std::size_t drop = n;
        Eigen::Vector2d replacement = Eigen::Vector2d::Zero();
        for (std::size_t i = 0; i < n; ++i) {
            const auto& b = corners[i];
            const auto& c = corners[(i + 1) % n];
            const auto meeting = prolonged_meeting(corners[(i + n - 1) % n], b, c, corners[(i + 2) % n]);
            if (!meeting) {
                continue;
            }
            const double added = 0.5 * std::abs(cross(*meeting - b, c - b));
            if (added < least) {
                least = added;
                drop = i;
                replacement = *meeting;
            }
        }
        if (drop == n) {
            break;  // cannot happen for a convex polygon of more than four sides
        }
        corners[drop] = replacement;
        corners.erase(corners.begin() + static_cast<std::ptrdiff_t>((drop + 1) % n));
    }
    return corners;
}

}  // namespace heatrow
