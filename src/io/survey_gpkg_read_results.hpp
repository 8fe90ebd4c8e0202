// What a run found out, out of survey.gpkg.
#pragma once

#include "heatrow/record/survey_record.hpp"
#include "survey_gpkg_read_layout.hpp"

#include <gdal_priv.h>

#include <filesystem>

namespace heatrow::detail {

// Fill a record whose layout has been read. In this order: later ones name what earlier ones hold.
void read_frames(GDALDataset& dataset,
                 const SitePoints& points,
                 const std::filesystem::path& file,
                 SurveyRecord& record);
void read_control(GDALDataset& dataset,
                  const SitePoints& points,
                  const std::filesystem::path& file,
                  SurveyRecord& record);
void read_modules(GDALDataset& dataset, const std::filesystem::path& file, SurveyRecord& record);
void read_views(GDALDataset& dataset, const std::filesystem::path& file, SurveyRecord& record);
void read_strings(GDALDataset& dataset, const std::filesystem::path& file, SurveyRecord& record);
void read_findings(GDALDataset& dataset, const std::filesystem::path& file, SurveyRecord& record);

}  // namespace heatrow::detail
