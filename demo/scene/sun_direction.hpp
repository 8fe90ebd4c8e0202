// Where the sun stands.
#pragma once

#include "heatrow/core/time.hpp"

namespace scene {

struct SunDirection {
    double azimuth_deg = 0.0;  // clockwise from north
    double elevation_deg = 0.0;
};

// The Astronomical Almanac's low-precision formulas, as in Michalsky 1988, Solar Energy 40, 227-235: good to 0.01
// degrees between 1950 and 2050. Without refraction. Degrees WGS 84.
SunDirection sun_direction(heatrow::UtcTime time, double longitude_deg, double latitude_deg);

}  // namespace scene
