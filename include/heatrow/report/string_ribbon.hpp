// The string ribbon: the modules of one string in wiring order as a ribbon of cell grids coloured by temperature
// difference, with the physical plan beside it (docs/formats/string-svg.md).
#pragma once

#include "heatrow/report/report_model.hpp"

#include <string>

namespace heatrow {

// How a ribbon is drawn: as a file of its own, or inside the report's page, where the script paints the cells from the
// page's data and the plan refers to the shapes `site-base` and `hatch` that the page holds once.
enum class RibbonUse { file, page };

// A whole SVG document (RibbonUse::file) or an svg element (RibbonUse::page); text as text, no outside resources.
std::string string_ribbon_svg(const ReportModel& model, const StringView& string, RibbonUse use);

}  // namespace heatrow
