// Modules that were only seen where their glass may mirror the sun.
#pragma once

#include "frame_pass.hpp"
#include "heatrow/score/score.hpp"
#include "heatrow/site/layout_index.hpp"
#include "survey_inputs.hpp"

#include <string>
#include <vector>

namespace heatrow {

// Sets Flag::glint on modules of which every view that was used looks into the lobe of the mirrored sun with some part
// of the module: there are no other views against which what wanders with the camera would show. Returns a sentence for
// the report, empty where there is no such module.
std::string mark_mirrored_sun(const SurveyInputs& inputs,
                              const LayoutIndex& site,
                              const std::vector<FrameOutcome>& outcomes,
                              std::vector<ModuleInput>& modules);

}  // namespace heatrow
