// Between the passes: whether the layout would fit the frames somewhere beyond the search.
#pragma once

#include "frame_pass.hpp"
#include "heatrow/pipeline/progress.hpp"
#include "heatrow/site/layout_index.hpp"
#include "scout_flights.hpp"
#include "survey_inputs.hpp"

#include <vector>

namespace heatrow {

// Throws Error (input) where the layout as a whole lies elsewhere: it says where it would fit. Only flights that look
// wrong are searched (many frames without a lock, positions off by about all that is searched, or edges that fit
// badly), and none with a known pixel or control point.
void refuse_layout_elsewhere(const SurveyInputs& inputs,
                             const LayoutIndex& site,
                             const SurveyAlignment& alignment,
                             const std::vector<FrameOutcome>& outcomes,
                             int threads,
                             const Progress& progress);

}  // namespace heatrow
