#include "heatrow/site/planned_module.hpp"

#include "heatrow/core/units.hpp"

#include <Eigen/Geometry>

#include <cmath>

namespace heatrow {

std::string_view to_string(TopEdge top) {
    switch (top) {
        case TopEdge::up:
            return "up";
        case TopEdge::down:
            return "down";
        case TopEdge::left:
            return "left";
        case TopEdge::right:
            break;
    }
    return "right";
}

PlaneFrame::PlaneFrame(double tilt_deg, double azimuth_deg) {
    const double tilt = degrees(tilt_deg).value();
    const double azimuth = degrees(azimuth_deg).value();
    right = {-std::cos(azimuth), std::sin(azimuth), 0.0};
    up = {-std::sin(azimuth) * std::cos(tilt), -std::cos(azimuth) * std::cos(tilt), std::sin(tilt)};
}

std::array<Eigen::Vector3d, 4> corners_of_place(
    const PlaneFrame& plane, const Eigen::Vector3d& lower_left, double width_m, double height_m, TopEdge top) {
    const Eigen::Vector3d across = width_m * plane.right;
    const Eigen::Vector3d along = height_m * plane.up;
    // Turning clockwise from the upper left corner of the place.
    const std::array<Eigen::Vector3d, 4> turning{
        lower_left + along, lower_left + along + across, lower_left + across, lower_left};
    const std::size_t first = top == TopEdge::up ? 0 : top == TopEdge::right ? 1 : top == TopEdge::down ? 2 : 3;
    return {turning[first], turning[(first + 1) % 4], turning[(first + 2) % 4], turning[(first + 3) % 4]};
}

}  // namespace heatrow
