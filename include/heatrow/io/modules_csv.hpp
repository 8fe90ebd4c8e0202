// modules.csv (docs/formats/modules-csv.md).
#pragma once

#include "heatrow/io/csv_writer.hpp"
#include "heatrow/report/report_model.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// One row per module of the layout, in its order.
std::string modules_csv(const ReportModel& model, CsvDialect dialect = CsvDialect::machine);

// The same for any table.
std::vector<std::string_view> module_columns();
void write_modules(TableWriter& table, const ReportModel& model);

}  // namespace heatrow
