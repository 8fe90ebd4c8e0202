// The poses of a survey's frames, from whichever source survey.toml names.
#pragma once

#include "heatrow/io/frame_set.hpp"
#include "heatrow/io/pose_reader.hpp"
#include "heatrow/io/survey_settings.hpp"
#include "heatrow/site/layout.hpp"

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

namespace heatrow {

struct SurveyPoses {
    PoseTable table;
    std::vector<std::pair<std::string, std::filesystem::path>>
        files;  // that were read: role and path, for the manifest
};

// Table: [frames] poses. Flight log: interpolated at each frame's time, which [frames] poses gives if it is named, else
// the frame's tags. Tags: of each frame. Errors as those of the readers; also where the middle of the poses lies
// kilometres from the layout, with the swap of coordinates that would explain it.
SurveyPoses read_survey_poses(const SurveySettings& settings,
                              const std::vector<FrameFile>& frames,
                              const Layout& layout);

}  // namespace heatrow
