#include "module_outline.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace heatrow::detail {
namespace {

using Corners2 = std::array<Eigen::Vector2d, 4>;

double cross(const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
    return a.x() * b.y() - a.y() * b.x();
}

// The type's x and y directions, both seen from above, unit length in the module's plane before foreshortening.
struct PlaneAxes {
    Eigen::Vector2d right;       // plan direction of x
    Eigen::Vector2d down;        // plan direction of y
    double right_stretch = 1.0;  // metres in the plane per metre in plan, along each
    double down_stretch = 1.0;
};

PlaneAxes axes_of(const OutlineFromAbove& outline) {
    const double azimuth = outline.azimuth.value();
    const Eigen::Vector2d up(-std::sin(azimuth), -std::cos(azimuth));  // the slope; against the azimuth
    const Eigen::Vector2d across(up.y(), -up.x());                     // to the right of someone who looks up the slope
    const double stretch = 1.0 / std::cos(outline.tilt.value());
    switch (outline.top) {
        case TopEdge::up:
            return {across, -up, 1.0, stretch};
        case TopEdge::down:
            return {-across, up, 1.0, stretch};
        case TopEdge::left:
            return {up, across, stretch, 1.0};
        case TopEdge::right:
            break;
    }
    return {-up, -across, stretch, 1.0};
}

// Corners turned so that they run top left, top right, bottom right, bottom left, y pointing down.
tl::expected<std::array<std::size_t, 4>, std::string> order_of(const Corners2& in_plane) {
    double area = 0.0;
    for (std::size_t i = 0; i < 4; ++i) {
        area += 0.5 * cross(in_plane[i], in_plane[(i + 1) % 4]);
    }
    std::array<std::size_t, 4> turning{0, 1, 2, 3};
    if (area < 0.0) {
        turning = {3, 2, 1, 0};
    }
    for (std::size_t i = 0; i < 4; ++i) {
        const Eigen::Vector2d side = in_plane[turning[(i + 1) % 4]] - in_plane[turning[i]];
        const Eigen::Vector2d next = in_plane[turning[(i + 2) % 4]] - in_plane[turning[(i + 1) % 4]];
        if (cross(side, next) <= 0.0) {
            return tl::unexpected(std::string("its outline crosses itself or is not convex"));
        }
    }
    // How well each start fits the corners of a rectangle. For a rectangle turned by t against its axes the best fit
    // goes as cos t, the next one as sin t.
    const std::array<Eigen::Vector2d, 4> ideal{Eigen::Vector2d(-1, -1), {1, -1}, {1, 1}, {-1, 1}};
    std::array<double, 4> fit{};
    for (std::size_t shift = 0; shift < 4; ++shift) {
        for (std::size_t i = 0; i < 4; ++i) {
            fit[shift] += in_plane[turning[(i + shift) % 4]].dot(ideal[i]);
        }
    }
    const auto best = static_cast<std::size_t>(std::max_element(fit.begin(), fit.end()) - fit.begin());
    constexpr double kTangentOfMostTurn = 0.7;  // 35 deg
    if (std::max(std::abs(fit[(best + 1) % 4]), std::abs(fit[(best + 3) % 4])) > kTangentOfMostTurn * fit[best]) {
        return tl::unexpected(
            std::string("its outline lies askew to its azimuth, so that its top edge cannot be told"));
    }
    return std::array<std::size_t, 4>{
        turning[best], turning[(best + 1) % 4], turning[(best + 2) % 4], turning[(best + 3) % 4]};
}

}  // namespace

tl::expected<std::array<Eigen::Vector3d, 4>, std::string> corners_in_space(const OutlineFromAbove& outline) {
    if (outline.ring.size() != 4) {
        return tl::unexpected(fmt::format("its outline has {} corners, not 4", outline.ring.size()));
    }
    const Eigen::Vector2d centre = 0.25 * (outline.ring[0] + outline.ring[1] + outline.ring[2] + outline.ring[3]);
    const PlaneAxes axes = axes_of(outline);
    Corners2 in_plane;
    for (std::size_t i = 0; i < 4; ++i) {
        const Eigen::Vector2d from_centre = outline.ring[i] - centre;
        in_plane[i] = {from_centre.dot(axes.right) * axes.right_stretch,
                       from_centre.dot(axes.down) * axes.down_stretch};
    }
    const auto order = order_of(in_plane);
    if (!order) {
        return tl::unexpected(order.error());
    }
    const double azimuth = outline.azimuth.value();
    const Eigen::Vector2d down_slope(std::sin(azimuth), std::cos(azimuth));
    std::array<Eigen::Vector3d, 4> corners;
    for (std::size_t i = 0; i < 4; ++i) {
        const Eigen::Vector2d point = outline.ring[(*order)[i]];
        const double rise = -std::tan(outline.tilt.value()) * (point - centre).dot(down_slope);
        corners[i] = {point.x(), point.y(), outline.height.value() + rise};
    }
    return corners;
}

std::string size_mismatch(const std::array<Eigen::Vector3d, 4>& c, const ModuleType& type) {
    const double width = 0.5 * ((c[1] - c[0]).norm() + (c[2] - c[3]).norm());
    const double height = 0.5 * ((c[3] - c[0]).norm() + (c[2] - c[1]).norm());
    constexpr double kTolerance = 0.1;  // docs/formats/layout.md
    const auto differs = [](double measured, Metres nominal) {
        return std::abs(measured - nominal.value()) > kTolerance * nominal.value();
    };
    if (!differs(width, type.width) && !differs(height, type.height)) {
        return {};
    }
    return fmt::format("its outline is {:.3f} m wide and {:.3f} m high in its plane, type \"{}\" {:.3f} m and {:.3f} m",
                       width,
                       height,
                       type.id,
                       type.width.value(),
                       type.height.value());
}

}  // namespace heatrow::detail
