// Heights of modules above the ground become heights above the site origin, by an elevation model.
#pragma once

#include "elevation_model.hpp"
#include "heatrow/site/layout.hpp"
#include "layout_source.hpp"

#include <filesystem>
#include <vector>

namespace heatrow::detail {

// Adds to each module's height that of the ground below it over the ground at the origin. A table is straight along its
// row: its modules take the line fitted through their elevations, so that the model's noise does not bend it.
// Throws Error(input) naming module and place where the model has no height.
void add_ground(std::vector<LayoutFeature>& features,
                const ElevationModel& ground,
                const SiteOrigin& origin,
                const std::filesystem::path& layout_file);

}  // namespace heatrow::detail
