// Style sheets and scripts of pages, from src/report/page/ and the map library, compiled in.
#pragma once

#include <string_view>

namespace heatrow {

// Of every page.
std::string_view page_style();
// Of report.html, on top.
std::string_view report_style();
std::string_view report_script();
// Leaflet (BSD 2-clause) as the system packages it, with its licence.
std::string_view map_library_script();

}  // namespace heatrow
