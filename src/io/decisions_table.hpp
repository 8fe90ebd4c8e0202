// Decisions out of tables.
#pragma once

#include "heatrow/record/review_merge.hpp"

#include <filesystem>

namespace heatrow::detail {

DecisionFile read_csv_decisions(const std::filesystem::path& file);
// The first sheet that has the columns `finding` and `verdict`.
DecisionFile read_xlsx_decisions(const std::filesystem::path& file);
// Attributes of the layer `findings` of a survey.gpkg.
DecisionFile read_gpkg_decisions(const std::filesystem::path& file);

}  // namespace heatrow::detail
