#include "tracker.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace scene {

TrackerTurn tracker_turn(double sun_azimuth_deg,
                         double sun_elevation_deg,
                         double axis_azimuth_deg,
                         double share,
                         double limit_deg,
                         bool backtracking) {
    constexpr double kDegree = std::numbers::pi / 180.0;
    const double elevation = sun_elevation_deg * kDegree;
    // Across the axis, positive to the right of its direction.
    const double across = std::cos(elevation) * std::sin((sun_azimuth_deg - axis_azimuth_deg) * kDegree);
    double turn = std::atan2(across, std::max(1e-6, std::sin(elevation)));
    if (backtracking && std::cos(turn) < share) {
        turn -= std::copysign(std::acos(std::cos(turn) / share), turn);
    }
    turn = std::clamp(turn / kDegree, -limit_deg, limit_deg);
    const double azimuth = axis_azimuth_deg + (turn >= 0.0 ? 90.0 : -90.0);
    return {std::abs(turn), std::fmod(azimuth + 720.0, 360.0)};
}

}  // namespace scene
