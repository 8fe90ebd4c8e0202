// survey.gpkg, the master of a result (docs/formats/survey-gpkg.md).
#pragma once

#include "heatrow/io/site_projection.hpp"
#include "heatrow/record/survey_record.hpp"

#include <filesystem>
#include <string>

namespace heatrow {

// Writes the file, then opens it again and checks its integrity and its row counts. The same record gives the same
// bytes. `path` must not exist. Throws Error(output).
void write_survey_gpkg(const SurveyRecord& record, const SiteProjection& projection, const std::filesystem::path& path);

}  // namespace heatrow
