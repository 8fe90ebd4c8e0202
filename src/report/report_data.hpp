// The data of the report's page, as compact JSON.
#pragma once

#include "heatrow/report/report_model.hpp"

#include <string>

namespace heatrow {

// Safe inside a script element. Holds the scale, the cell grids, per module its id and cells, per finding its numbers.
std::string report_data_json(const ReportModel& model);

}  // namespace heatrow
