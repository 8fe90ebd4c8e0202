// String ribbons for the page, each packed, within a budget.
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/report/report_model.hpp"

#include <string>

namespace heatrow {

// Beyond it, ribbons of strings without findings, then of those with the least grave ones, are left to the files beside
// the page.
inline constexpr std::size_t kRibbonBudget = std::size_t{6} << 20U;  // bytes of the page

// A JSON array, one entry a string of the model: packed text of {"svg", "modules": {index: {id, type, cells}}}, or
// null.
std::string page_ribbons_json(const ReportModel& model);

// Two digits to the base 64 a cell, row by row: tenths of a kelvin above -204.8 K; 4095 = unknown.
std::string cells_text(const ModuleResult& result);

}  // namespace heatrow
