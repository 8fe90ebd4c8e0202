// A second look at the pixels of hot cells, where they resolve parts of a cell.
#pragma once

#include "frame_pass.hpp"
#include "heatrow/core/placed_view.hpp"
#include "heatrow/pipeline/progress.hpp"
#include "heatrow/score/score.hpp"
#include "survey_inputs.hpp"

#include <span>
#include <vector>

namespace heatrow {

// Sets ModuleInput::looks of cells that stand out of their module, from the largest of the views that were fused. None
// where a cell's short side has less than the profile's pixels, the stated blur is wider than the profile's, or the
// camera enlarges its pictures; not from views in which the image trails over more than 0.3 of a cell. Decodes the
// frames concerned once more.
void look_into_hot_cells(const SurveyInputs& inputs,
                         const std::vector<FrameOutcome>& outcomes,
                         std::span<const PlacedView> views,
                         int threads,
                         const Progress& progress,
                         std::vector<ModuleInput>& modules);

}  // namespace heatrow
