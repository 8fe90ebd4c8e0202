// How a single-axis tracker with a level axis turns after the sun.
#pragma once

namespace scene {

struct TrackerTurn {
    double tilt_deg = 0.0;     // of the modules, not negative
    double azimuth_deg = 0.0;  // where their front faces: at right angles to the axis
};

// share: width of a table over the distance of the axes. Sun by azimuth and elevation, degrees. The angle puts the sun
// in the plane of axis and normal (Lorenzo, Narvarte, Munoz 2011, "Tracking and back-tracking", Prog. Photovolt. 19,
// 747-753; from memory); with backtracking it is flattened until rows no longer shade each other: by acos(cos R /
// share).
TrackerTurn tracker_turn(double sun_azimuth_deg,
                         double sun_elevation_deg,
                         double axis_azimuth_deg,
                         double share,
                         double limit_deg,
                         bool backtracking);

}  // namespace scene
