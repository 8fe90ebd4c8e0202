// What the reader must know of frames without a name, stretch by stretch, and what would settle each.
#pragma once

#include "frame_pass.hpp"
#include "heatrow/georeference/naming.hpp"
#include "survey_inputs.hpp"

#include <string>
#include <vector>

namespace heatrow {

// moved: frames that the decision moved to another place and that were locked there again.
std::vector<std::string> name_notes(const SurveyInputs& inputs,
                                    const LayoutIndex& site,
                                    const std::vector<FrameOutcome>& outcomes,
                                    const std::vector<FrameName>& names,
                                    int moved);

}  // namespace heatrow
