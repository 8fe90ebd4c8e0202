// Between the passes: which modules the frames saw, decided over all of them.
#pragma once

#include "frame_pass.hpp"
#include "heatrow/record/control_result.hpp"

#include <string>
#include <vector>

namespace heatrow {

struct NamedFrames {
    std::vector<PlacedView> views;
    std::vector<ControlResult> control;  // of each known pixel and control point
    std::vector<std::string> notes;  // what the reader must know: frames moved, frames without a name and what helps
    std::vector<int> contradicted;   // modules of tables that stand elsewhere or are of another size than drawn
};

// Frames that the decision moves are measured again (move_frames); all of them if tables are in conflict with the
// others and can be moved to where the frames show them: frames may have locked on such a table alone. Its views have
// no name. Throws Error (input) where the layout is refused (check_layout).
NamedFrames name_frames(const SurveyInputs& inputs,
                        const LayoutIndex& site,
                        const SurveyAlignment& alignment,
                        int threads,
                        const Progress& progress,
                        SlotCache& cache,
                        std::vector<FrameOutcome>& outcomes);

}  // namespace heatrow
