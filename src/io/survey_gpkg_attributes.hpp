// Rows of the tables of survey.gpkg that have no geometry and few rows: module types, limits, pictures, review.
#pragma once

#include "gpkg_file.hpp"
#include "heatrow/record/survey_record.hpp"

#include <gdal_priv.h>

#include <filesystem>
#include <string>

namespace heatrow::detail {

TableCount write_module_types(GDALDataset& dataset, const SurveyRecord& record, const std::filesystem::path& file);
TableCount write_limits(GDALDataset& dataset, const SurveyRecord& record, const std::filesystem::path& file);
TableCount write_pictures(GDALDataset& dataset, const SurveyRecord& record, const std::filesystem::path& file);
TableCount write_review_log(GDALDataset& dataset, const SurveyRecord& record, const std::filesystem::path& file);

// One row of the review log.
void write_review_row(GpkgTable& table, const ReviewEntry& entry);

// Words of the columns `technology` and `front`, as in module type files.
std::string_view technology_word(ModuleType::Technology technology);
std::string_view front_word(ModuleType::Front front);

}  // namespace heatrow::detail
