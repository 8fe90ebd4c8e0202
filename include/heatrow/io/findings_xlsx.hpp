// findings.xlsx (docs/formats/findings-xlsx.md): the tables for people, with places for the reviewer.
#pragma once

#include "heatrow/report/report_model.hpp"

#include <filesystem>

namespace heatrow {

// Numbers are those of the csv files. Throws Error(output) where it cannot be written.
void write_findings_xlsx(const ReportModel& model, const std::filesystem::path& file);

}  // namespace heatrow
