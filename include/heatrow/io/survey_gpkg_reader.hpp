// The record out of survey.gpkg, as survey_gpkg_writer.hpp put it there.
#pragma once

#include "heatrow/record/survey_record.hpp"

#include <filesystem>

namespace heatrow {

// Corner points of handheld frames (FramePrior::corner_points) are inputs and not kept. Coordinates are those written
// to a micrometre; cell values are rounded to 32-bit floats; all else comes back as it was. Findings stand as the
// review log says (standing_review.hpp). Throws Error(input) naming file, table, row and column if it is no such file,
// was made by another version, or breaks one of the record's invariants.
SurveyRecord read_survey_gpkg(const std::filesystem::path& path);

}  // namespace heatrow
