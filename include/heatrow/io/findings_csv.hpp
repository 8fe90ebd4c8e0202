// findings.csv (docs/formats/findings-csv.md).
#pragma once

#include "heatrow/io/csv_writer.hpp"
#include "heatrow/report/report_model.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// One row per finding, in the record's order.
std::string findings_csv(const ReportModel& model, CsvDialect dialect = CsvDialect::machine);

// The same for any table.
std::vector<std::string_view> finding_columns();
void write_findings(TableWriter& table, const ReportModel& model);

}  // namespace heatrow
