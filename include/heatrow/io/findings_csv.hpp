// findings.csv (docs/formats/findings-csv.md).
#pragma once

#include "heatrow/report/report_model.hpp"

#include <string>

namespace heatrow {

// One row per finding, in the record's order.
std::string findings_csv(const ReportModel& model);

}  // namespace heatrow
