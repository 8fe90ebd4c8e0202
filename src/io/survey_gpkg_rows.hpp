// The record as rows of survey.gpkg.
#pragma once

#include "gpkg_file.hpp"
#include "heatrow/io/site_projection.hpp"
#include "heatrow/record/survey_record.hpp"
#include "survey_gpkg_attributes.hpp"

#include <Eigen/Core>
#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

namespace heatrow::detail {

// The key by which the map colours a module.
std::string module_state(const ModuleResult& result);

// Writes every table of survey.gpkg and says how many rows each got.
std::vector<TableCount> write_tables(GDALDataset& dataset,
                                     const SurveyRecord& record,
                                     const SiteProjection& projection,
                                     const MapPoints& points,
                                     const OGRSpatialReference& reference,
                                     const std::filesystem::path& file);

}  // namespace heatrow::detail
