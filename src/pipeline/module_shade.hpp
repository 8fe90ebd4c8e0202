// The shade on every module while it was photographed.
#pragma once

#include "heatrow/pipeline/progress.hpp"
#include "heatrow/score/score.hpp"
#include "heatrow/site/layout_index.hpp"
#include "survey_inputs.hpp"

#include <vector>

namespace heatrow {

// Sets ModuleInput::shade by the layout, the survey's obstacles and the sun at the frames that were used and the
// profile's memory before them.
void predict_shade(const SurveyInputs& inputs,
                   const LayoutIndex& site,
                   int threads,
                   const Progress& progress,
                   std::vector<ModuleInput>& modules);

}  // namespace heatrow
