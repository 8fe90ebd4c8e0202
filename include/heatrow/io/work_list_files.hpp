// The work list as files for phones and maintenance systems (docs/formats/worklist.md).
#pragma once

#include "heatrow/record/run_description.hpp"
#include "heatrow/report/report_model.hpp"
#include "heatrow/report/work_list.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace heatrow {

// Names of all columns of worklist.csv.
const std::vector<std::string>& work_list_columns();

// model.context.locate must be set.
std::string work_list_csv(const ReportModel& model,
                          const std::vector<WorkTask>& tasks,
                          const WorkListSettings& settings);

// Writes worklist-class-3.gpx and worklist-class-2.gpx into the folder, each in walking order with a route through its
// points; beyond 200 points worklist-class-2-part-2.gpx and so on, since phone programs lose points of larger files.
// Throws Error(output).
void write_work_list_gpx(const ReportModel& model,
                         const std::vector<WorkTask>& tasks,
                         const std::filesystem::path& folder);

// Every finding as a point, a folder a class. Throws Error(output).
void write_findings_kml(const ReportModel& model, const std::filesystem::path& file);

}  // namespace heatrow
