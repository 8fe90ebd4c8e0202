// The parts of the page's overview, in the order in which they stand there.
#pragma once

#include "heatrow/report/report_model.hpp"

#include <string>

namespace heatrow {

std::string summary_section(const ReportModel& model);
std::string plan_section();
std::string findings_section(const ReportModel& model);
std::string strings_section(const ReportModel& model);
std::string review_section();
std::string coverage_section(const ReportModel& model);
std::string conditions_section(const ReportModel& model);
std::string reading_section();

}  // namespace heatrow
