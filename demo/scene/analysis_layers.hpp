// The layers of a result's survey.gpkg that the grader reads (docs/formats/survey-gpkg.md).
#pragma once

#include "grade_input.hpp"

#include <filesystem>

namespace scene {

// Fills views, measured, string_delta_1000_k and notes. A result without the layers `modules`, `strings` and `run`
// leaves these empty; one without `views` is an Error.
void read_analysis_layers(const std::filesystem::path& file, GradeInput& input);

}  // namespace scene
