// Single-axis trackers.
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/sun/incidence.hpp"

namespace heatrow {

struct Tracker {
    Radians axis_tilt{0.0};                 // from horizontal; the axis sinks towards its azimuth
    Radians axis_azimuth{0.0};              // clockwise from true north
    Radians maximum_angle = degrees(60.0);  // to either side of flat
    bool backtracks = true;
    double ground_coverage = 0.35;  // collector width over distance of the rows
    Radians cross_axis_tilt{0.0};   // slope of the ground across the axis, rising to the left of the axis azimuth
};

struct TrackerState {
    Radians rotation{
        kNaN};  // about the axis, positive: clockwise looking along the axis azimuth (facing its right side)
    PlaneOrientation plane;
};

// Rotation with which the rows follow the sun, and turn back where they would shade each other. NaN rotation and a flat
// plane below the horizon. Sources: Lorenzo, Narvarte & Munoz 2011, Prog. Photovoltaics 19, 747-753 (true tracking);
// Anderson & Mikofski 2020, NREL/TP-5K00-76626 (backtracking on slopes) (formulas from memory, M; checked by laws:
// no shade with, none earlier than without, least incidence).
TrackerState tracker_state(const Tracker& tracker, Radians sun_zenith, Radians sun_azimuth);

// The plane at a given rotation, for logged tracker angles.
PlaneOrientation tracker_plane(const Tracker& tracker, Radians rotation);

}  // namespace heatrow
