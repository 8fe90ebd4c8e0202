// The layers of a result's survey.gpkg that the grader reads (docs/formats/survey-gpkg.md).
#pragma once

#include "grade_input.hpp"

#include <filesystem>

namespace scene {

// Fills views, measured and string_delta_1000_k. A result without the layers `modules` and `strings` leaves these
// empty; one without `views` is an Error.
void read_analysis_layers(const std::filesystem::path& file, GradeInput& input);

}  // namespace scene
