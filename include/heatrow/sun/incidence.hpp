// Sun, plane and mirror: angles between them.
#pragma once

#include "heatrow/core/units.hpp"

#include <Eigen/Core>

namespace heatrow {

// A plane by the direction it faces.
struct PlaneOrientation {
    Radians tilt{0.0};     // from horizontal
    Radians azimuth{0.0};  // of the horizontal part of the normal, clockwise from true north
};

// Unit normal in the site frame (east, north, up).
Eigen::Vector3d normal_in_site(const PlaneOrientation& plane);

// Cosine of the angle of incidence, negative where the sun is behind the plane:
// cos b cos z + sin b sin z cos(A_sun - A_plane). Duffie & Beckman, eq. 1.6.3 (V2).
double cos_incidence(const PlaneOrientation& plane, Radians sun_zenith, Radians sun_azimuth);

// Unit vector along which a mirror in the plane sends the sun: an observer in this direction from the module sees the
// mirrored sun. Both arguments are unit vectors in one frame. Law of reflection: 2 (n.s) n - s.
Eigen::Vector3d mirrored_sun_direction(const Eigen::Vector3d& normal, const Eigen::Vector3d& to_sun);

// Angle between the mirrored sun and the direction from the module to the observer: 0 = the observer looks straight
// into it; textured glass spreads the sun over a lobe of up to 10 deg around it (design value, no source).
// pi where the sun is behind the plane.
Radians glint_angle(const Eigen::Vector3d& normal, const Eigen::Vector3d& to_sun, const Eigen::Vector3d& to_observer);

}  // namespace heatrow
