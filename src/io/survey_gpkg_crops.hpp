// What the frames show of findings, in survey.gpkg: report.pdf is drawn from it.
#pragma once

#include "heatrow/record/survey_record.hpp"
#include "survey_gpkg_attributes.hpp"

#include <gdal_priv.h>

#include <filesystem>

namespace heatrow::detail {

TableCount write_crops(GDALDataset& dataset, const SurveyRecord& record, const std::filesystem::path& file);
TableCount write_visible_pictures(GDALDataset& dataset, const SurveyRecord& record, const std::filesystem::path& file);
// Into a record whose frames and findings have been read. Throws Error(input) for damaged rows.
void read_crops(GDALDataset& dataset, const std::filesystem::path& file, SurveyRecord& record);
// The same; a file that was written before there were any holds none.
void read_visible_pictures(GDALDataset& dataset, const std::filesystem::path& file, SurveyRecord& record);

}  // namespace heatrow::detail
