// Longitude and latitude, degrees, WGS 84.
#pragma once

#include "heatrow/core/units.hpp"

namespace heatrow {

struct GeographicPoint {
    double longitude_deg = kNaN;
    double latitude_deg = kNaN;
};

}  // namespace heatrow
