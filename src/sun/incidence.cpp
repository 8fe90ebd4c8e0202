#include "heatrow/sun/incidence.hpp"

#include <Eigen/Geometry>

#include <cmath>
#include <numbers>

namespace heatrow {

Eigen::Vector3d normal_in_site(const PlaneOrientation& plane) {
    const double across = std::sin(plane.tilt.value());
    return {across * std::sin(plane.azimuth.value()),
            across * std::cos(plane.azimuth.value()),
            std::cos(plane.tilt.value())};
}

double cos_incidence(const PlaneOrientation& plane, Radians sun_zenith, Radians sun_azimuth) {
    return std::cos(plane.tilt.value()) * std::cos(sun_zenith.value()) +
           std::sin(plane.tilt.value()) * std::sin(sun_zenith.value()) *
               std::cos((sun_azimuth - plane.azimuth).value());
}

Eigen::Vector3d mirrored_sun_direction(const Eigen::Vector3d& normal, const Eigen::Vector3d& to_sun) {
    return 2.0 * normal.dot(to_sun) * normal - to_sun;
}

Radians glint_angle(const Eigen::Vector3d& normal, const Eigen::Vector3d& to_sun, const Eigen::Vector3d& to_observer) {
    if (normal.dot(to_sun) <= 0.0) {
        return Radians(std::numbers::pi);
    }
    const Eigen::Vector3d mirrored = mirrored_sun_direction(normal, to_sun);
    // Exact for small angles too, where the arc cosine is not.
    const double across = mirrored.cross(to_observer).norm();
    return Radians(std::atan2(across, mirrored.dot(to_observer)));
}

}  // namespace heatrow
