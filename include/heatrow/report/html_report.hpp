// report.html: one self-contained page that opens offline.
#pragma once

#include "heatrow/report/report_model.hpp"

#include <string>

namespace heatrow {

std::string html_report(const ReportModel& model);

}  // namespace heatrow
