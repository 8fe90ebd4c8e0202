// Between the passes: which modules the frames saw, decided over all of them.
#pragma once

#include "frame_pass.hpp"

#include <string>
#include <vector>

namespace heatrow {

struct NamedFrames {
    std::vector<PlacedView> views;
    std::vector<std::string> notes;  // what the reader must know: frames moved, frames without a name and what helps
};

// Frames that the decision moves are measured again (move_frames).
NamedFrames name_frames(const SurveyInputs& inputs,
                        const LayoutIndex& site,
                        int threads,
                        const Progress& progress,
                        std::vector<FrameOutcome>& outcomes);

}  // namespace heatrow
