// How a GIS shows survey.gpkg when it is opened: colours, marks, names and units.
#pragma once

#include "gpkg_file.hpp"

namespace heatrow::detail {

std::vector<LayerStyle> survey_styles();

}  // namespace heatrow::detail
