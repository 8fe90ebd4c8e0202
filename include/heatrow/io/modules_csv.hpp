// modules.csv (docs/formats/modules-csv.md).
#pragma once

#include "heatrow/report/report_model.hpp"

#include <string>

namespace heatrow {

// One row per module of the layout, in its order.
std::string modules_csv(const ReportModel& model);

}  // namespace heatrow
