// From the outcomes of frames to module inputs for scoring, and from scores to the record.
#pragma once

#include "frame_pass.hpp"
#include "heatrow/core/placed_view.hpp"
#include "heatrow/record/survey_record.hpp"
#include "heatrow/score/score.hpp"
#include "survey_inputs.hpp"

#include <string>
#include <vector>

namespace heatrow {

// Fuses all views of each module that was seen, in layout order. A module that was seen at enough irradiance is made
// from those frames alone; one that was not keeps its other views, as information. store: has the views' cells.
std::vector<ModuleInput> fuse_modules(const SurveyInputs& inputs,
                                      const std::vector<FrameOutcome>& outcomes,
                                      const ViewStore& store,
                                      const std::vector<PlacedView>& views,
                                      int threads,
                                      const Progress& progress);

SurveyRecord assemble_record(const SurveyInputs& inputs,
                             const std::vector<FrameOutcome>& outcomes,
                             std::vector<PlacedView> views,
                             const std::vector<ModuleInput>& modules,
                             ScoreResult scores);

}  // namespace heatrow
