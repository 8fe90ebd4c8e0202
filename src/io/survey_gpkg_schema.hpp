// Tables of survey.gpkg; docs/formats/survey-gpkg.md lists the same, and a test compares them.
#pragma once

#include "gpkg_table.hpp"

namespace heatrow::detail {

const GpkgSchema& modules_schema();
const GpkgSchema& strings_schema();
const GpkgSchema& findings_schema();
const GpkgSchema& footprints_schema();
const GpkgSchema& control_schema();
const GpkgSchema& frames_schema();
const GpkgSchema& views_schema();
const GpkgSchema& module_types_schema();
const GpkgSchema& limits_schema();
const GpkgSchema& pictures_schema();
const GpkgSchema& review_log_schema();
const GpkgSchema& crops_schema();
const GpkgSchema& visible_pictures_schema();
const GpkgSchema& run_schema();
const GpkgSchema& rules_schema();
const GpkgSchema& settings_schema();
const GpkgSchema& clocks_schema();
const GpkgSchema& inputs_schema();
const GpkgSchema& statement_schema();
const GpkgSchema& instruments_schema();

}  // namespace heatrow::detail
