// Layout files as `analyse` reads them (docs/formats/layout.md).
#pragma once

#include "heatrow/site/layout.hpp"
#include "heatrow/site/planned_module.hpp"

#include <string>
#include <vector>

namespace heatrow {

// GeoJSON (RFC 7946), one module a line, in the order given; longitudes and latitudes to 1e-9 deg (0.1 mm), heights to
// a millimetre.
std::string layout_geojson(const std::vector<PlannedModule>& modules, const SiteOrigin& origin);

}  // namespace heatrow
