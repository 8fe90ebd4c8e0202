// How a run came about, in survey.gpkg: its tables run, rules, settings, clocks, inputs, statement and instruments.
#pragma once

#include "heatrow/record/survey_record.hpp"
#include "survey_gpkg_attributes.hpp"

#include <gdal_priv.h>

#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace heatrow::detail {

std::vector<TableCount> write_run_tables(GDALDataset& dataset,
                                         const SurveyRecord& record,
                                         const std::filesystem::path& file);

// Key and value of the table `run`. Throws Error(input) unless it is of the format and version of this program.
using RunValues = std::map<std::string, std::string>;
RunValues read_run(GDALDataset& dataset, const std::filesystem::path& file, SurveyRecord& record);
// Longitude, latitude and height of the site's origin. Throws Error(input).
SiteOrigin origin_of(const RunValues& values, const std::filesystem::path& file);

// The other tables.
void read_run_tables(GDALDataset& dataset, const std::filesystem::path& file, SurveyRecord& record);

}  // namespace heatrow::detail
