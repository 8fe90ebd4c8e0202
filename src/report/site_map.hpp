// The plan of the whole site on the report's page.
#pragma once

#include "heatrow/report/report_model.hpp"

#include <string>

namespace heatrow {

// An svg element: every string a link to its ribbon, modules filled by their state, marks of the findings on top, north
// up, with a bar in metres.
std::string site_map_svg(const ReportModel& model);

}  // namespace heatrow
