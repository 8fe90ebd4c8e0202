#include "heatrow/sun/tracker.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace heatrow {
namespace {

// Right-handed axes of the tracker in the site frame: across (to the right of the axis azimuth), along, and normal of
// the flat position.
struct TrackerFrame {
    Eigen::Vector3d across;
    Eigen::Vector3d normal;
};

TrackerFrame frame_of(const Tracker& tracker) {
    const double azimuth = tracker.axis_azimuth.value();
    return {{std::cos(azimuth), -std::sin(azimuth), 0.0}, normal_in_site({tracker.axis_tilt, tracker.axis_azimuth})};
}

}  // namespace

PlaneOrientation tracker_plane(const Tracker& tracker, Radians rotation) {
    const TrackerFrame frame = frame_of(tracker);
    const Eigen::Vector3d normal =
        std::sin(rotation.value()) * frame.across + std::cos(rotation.value()) * frame.normal;
    const double across = std::hypot(normal.x(), normal.y());
    // A flat plane faces nowhere; take the side it would turn to.
    const Radians azimuth = across > 1e-12 ? wrap_full_turn(Radians(std::atan2(normal.x(), normal.y())))
                                           : wrap_full_turn(tracker.axis_azimuth + degrees(90.0));
    return {Radians(std::atan2(across, normal.z())), azimuth};
}

TrackerState tracker_state(const Tracker& tracker, Radians sun_zenith, Radians sun_azimuth) {
    TrackerState state;
    if (!(in_degrees(sun_zenith) < 90.0)) {
        return state;
    }
    const TrackerFrame frame = frame_of(tracker);
    const Eigen::Vector3d to_sun = normal_in_site({sun_zenith, sun_azimuth});
    double rotation = std::atan2(to_sun.dot(frame.across), to_sun.dot(frame.normal));
    if (tracker.backtracks) {
        const double row_distance = 1.0 / (tracker.ground_coverage * std::cos(tracker.cross_axis_tilt.value()));
        const double lit = std::abs(row_distance * std::cos(rotation - tracker.cross_axis_tilt.value()));
        if (lit < 1.0) {
            rotation -= std::copysign(std::acos(lit), rotation);
        }
    }
    const double limit = tracker.maximum_angle.value();
    state.rotation = Radians(std::clamp(rotation, -limit, limit));
    state.plane = tracker_plane(tracker, state.rotation);
    return state;
}

}  // namespace heatrow
