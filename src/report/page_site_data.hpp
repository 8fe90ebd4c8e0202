// The site for the page's map: outlines, names and states of all modules.
#pragma once

#include "heatrow/report/report_model.hpp"

#include <string>

namespace heatrow {

// A JSON object of arrays with one entry a module: `ids`; `xy`, eight whole centimetres (east and north of the first
// corner from that of the module before, then of the other three from the first); `state` (1, 2, 3: assessed, by class;
// 4 not assessed, 5 may be another module, 6 not seen); `table` and `string` (index in `tables` and in the model's
// strings, -1 = none); `position`.
std::string page_site_json(const ReportModel& model);

}  // namespace heatrow
