// How a GIS shows survey.gpkg when it is opened: table layer_styles, with colours, marks, names and units.
#pragma once

#include <string>
#include <vector>

namespace heatrow::detail {

// SQL that makes and fills layer_styles; `time` is written as the time of the styles.
std::vector<std::string> style_statements(const std::string& time);

}  // namespace heatrow::detail
